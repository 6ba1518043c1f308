// The table of kinds and keys. Defaults are those of docs/method.md.
#include "card/part_kind_table.hpp"
#include <initializer_list>
#include <optional>
#include <string_view>
#include <vector>
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

using D = Dimension;
using Keys = std::vector<KeyRule>;

// Ranges of what nobody states, as parts of the kind are sold (common practice); docs/method.md
// says why.
constexpr Usual silicon_ideality(1.8, 1, 2);
constexpr Usual silicon_series(0.05, 0.01, 1);
// A: what makes the 100 nA of collector current in the dark that data sheets guarantee.
constexpr Usual dark_photocurrent(0.02e-9, 0.001e-9, 0.5e-9);
constexpr double hour = 3600;  // s

// Every limit that a data sheet of this kind states; checked in every state.
KeyRule limit(Key key, Dimension dimension) {
    return {.key = key, .group = "limits", .dimension = dimension, .range = Range::above_zero};
}

// Full rating up to one temperature, falling linearly to nothing at the other.
Keys derating(std::optional<double> full_to, std::optional<double> zero_at) {
    return {{.key = Key::full_rating_to,
             .group = "limits",
             .dimension = D::temperature,
             .range = Range::any,
             .standard = full_to},
            {.key = Key::zero_rating_at,
             .group = "limits",
             .dimension = D::temperature,
             .range = Range::any,
             .standard = zero_at}};
}

Keys joined(std::initializer_list<Keys> lists) {
    Keys all;
    for (const auto& list : lists) all.insert(all.end(), list.begin(), list.end());
    return all;
}

// A junction's model; defaults of docs/method.md. What its forward voltage does with temperature is
// stated as its slope, or by the band gap of what it is made of: where nobody says, by the one of
// the two that is given here.
struct Warmed {
    std::optional<Usual> slope = {};    // V/K
    std::optional<Usual> bandgap = {};  // eV
};
Keys junction(std::string_view group, Usual ideality, Usual series, const Warmed& warmed) {
    return {{.key = Key::forward,
             .group = group,
             .dimension = D::voltage,
             .range = Range::above_zero,
             .form = Form::quantity_at,
             .conditions = {D::current}},
            {Key::saturation_current, group, D::current, Range::above_zero},
            {Key::ideality, group, D::ratio, Range::above_zero, ideality},
            {Key::series_resistance, group, D::resistance, Range::from_zero, series},
            {.key = Key::forward_slope,
             .group = group,
             .dimension = D::voltage_per_temperature,
             .range = Range::any,
             .standard = warmed.slope,
             .form = Form::quantity_at,
             .conditions = {D::current}},
            {Key::bandgap, group, D::energy, Range::above_zero, warmed.bandgap},
            {Key::temperature_exponent, group, D::ratio, Range::any, 3.0}};
}

constexpr Warmed silicon{.slope = {}, .bandgap = 1.12};
// Common practice: -1.5 to -4 mV/K for light-emitting diodes of all colours, -1.2 to -2.5 mV/K for
// infrared ones.
constexpr Warmed led_slope{.slope = Usual(-2e-3, -4e-3, -1.5e-3), .bandgap = {}};
constexpr Warmed infrared_slope{.slope = Usual(-1.7e-3, -2.5e-3, -1.2e-3), .bandgap = {}};

// For time behaviour; answers at rest do not use them.
Keys junction_charge() {
    return {{Key::junction_capacitance, "model", D::capacitance, Range::from_zero},
            {Key::transit_time, "model", D::time, Range::from_zero}};
}

Keys life() {
    return {{Key::to_80_percent, "life", D::time, Range::above_zero,
             Usual(50e3 * hour, 20e3 * hour, 200e3 * hour)},
            {Key::at_current, "life", D::current, Range::above_zero, 20e-3},
            {Key::at_temperature, "life", D::temperature, Range::above_zero, 298.15},
            {Key::current_exponent, "life", D::ratio, Range::from_zero, 1.5},
            {Key::activation_energy, "life", D::energy, Range::from_zero, 0.4},
            {Key::shape, "life", D::ratio, Range::above_zero, 0.6}};
}

// What a coupler's data sheet says of its insulation, in the terms of IEC 60747-5-5 (from memory).
Keys insulation() {
    return {{Key::isolation_test_voltage, "insulation", D::voltage, Range::above_zero},   // V_ISO
            {Key::repetitive_peak_voltage, "insulation", D::voltage, Range::above_zero},  // V_IORM
            {Key::transient_peak_voltage, "insulation", D::voltage, Range::above_zero},   // V_IOTM
            {Key::external_clearance, "insulation", D::length, Range::above_zero},
            {Key::external_creepage, "insulation", D::length, Range::above_zero},
            {Key::distance_through_insulation, "insulation", D::length, Range::above_zero},
            {.key = Key::material_group,
             .group = "insulation",
             .form = Form::choice,
             .words = "I|II|IIIa|IIIb"}};
}

Keys emission() {
    return {{.key = Key::radiant_intensity,
             .group = "model",
             .dimension = D::radiant_intensity,
             .range = Range::above_zero,
             .form = Form::quantity_at,
             .conditions = {D::current}},
            {.key = Key::luminous_intensity,
             .group = "model",
             .dimension = D::luminous_intensity,
             .range = Range::above_zero,
             .form = Form::quantity_at,
             .conditions = {D::current}},
            {Key::half_angle, "model", D::angle, Range::beam_angle, 0.35},
            {.key = Key::temperature_coefficient,
             .group = "model",
             .dimension = D::per_temperature,
             .range = Range::any,
             .standard = Usual(-0.005, -0.01, 0),
             .may_be_plain = true},
            {Key::source_size, "model", D::length, Range::above_zero, 5e-3}};
}

// For time behaviour; only a receiver's are known where its card says nothing.
Keys bipolar_charge(std::string_view group, bool receiver) {
    const auto known = [&](double figure) {
        return receiver ? std::optional(figure) : std::nullopt;
    };
    return {
        {Key::base_collector_capacitance, group, D::capacitance, Range::from_zero, known(12e-12)},
        {Key::base_emitter_capacitance, group, D::capacitance, Range::from_zero, known(20e-12)},
        {Key::transit_time, group, D::time, Range::from_zero, known(2e-9)},
        {Key::reverse_transit_time, group, D::time, Range::from_zero, known(200e-9)}};
}

Keys bipolar(std::string_view group, double transport, Usual gain, double reverse, double early,
             double knee, double leak, Usual collector) {
    return {{Key::transport_current, group, D::current, Range::above_zero, transport},
            {Key::gain, group, D::ratio, Range::above_zero, gain},
            {Key::reverse_gain, group, D::ratio, Range::above_zero, reverse},
            {Key::early_voltage, group, D::voltage, Range::above_zero, early},
            {Key::knee_current, group, D::current, Range::above_zero, knee},
            {Key::leak_current, group, D::current, Range::from_zero, leak},
            {Key::leak_ideality, group, D::ratio, Range::above_zero, 1.6},
            {Key::collector_resistance, group, D::resistance, Range::from_zero, collector},
            {Key::gain_exponent, group, D::ratio, Range::any, 1.5}};
}

// Receivers: docs/method.md; `second_gain` makes a darlington of it.
Keys receiver(std::string_view group, Usual gain) {
    return joined({bipolar(group, 1e-13, gain, 10, 60, 0.15, 2e-14, Usual(20, 5, 40)),
                   bipolar_charge(group, true),
                   {{Key::second_gain, group, D::ratio, Range::above_zero}}});
}

Keys junction_limits() {
    return joined({{limit(Key::forward_current, D::current),
                    limit(Key::reverse_voltage, D::voltage), limit(Key::power, D::power)},
                   derating({}, {})});
}

Keys receiver_limits() {
    return {limit(Key::collector_current, D::current),
            limit(Key::collector_emitter_voltage, D::voltage),
            limit(Key::emitter_collector_voltage, D::voltage)};
}

void add_passive_kinds(std::vector<KindRule>& rules) {
    rules.push_back({Kind::resistor, "resistor",
                     joined({{{.key = Key::value,
                               .dimension = D::resistance,
                               .needed = true,
                               .alias = "resistance"},
                              limit(Key::power, D::power),
                              limit(Key::voltage, D::voltage)},
                             derating(343.15, 428.15)}),
                     ""});
    rules.push_back({Kind::capacitor,
                     "capacitor",
                     {{.key = Key::value,
                       .dimension = D::capacitance,
                       .range = Range::above_zero,
                       .needed = true,
                       .alias = "capacitance"},
                      limit(Key::voltage, D::voltage)},
                     "plus"});
    rules.push_back({Kind::inductor,
                     "inductor",
                     {{.key = Key::value,
                       .dimension = D::inductance,
                       .range = Range::above_zero,
                       .needed = true,
                       .alias = "inductance"},
                      {Key::resistance, "model", D::resistance, Range::from_zero, 0.0},
                      limit(Key::current, D::current)},
                     ""});
    rules.push_back(
        {Kind::contact,
         "contact",
         {{Key::closed_resistance, "model", D::resistance, Range::from_zero,
           Usual(0.05, 0.01, 0.2)},
          {Key::open_resistance, "model", D::resistance, Range::above_zero, Usual(1e9, 1e8, 1e11)},
          {Key::leakage, "model", D::current, Range::from_zero, 0.0},
          {Key::bounce, "model", D::time, Range::from_zero},
          limit(Key::current, D::current),
          limit(Key::voltage, D::voltage)},
         ""});
}

void add_junction_kinds(std::vector<KindRule>& rules) {
    rules.push_back({Kind::diode, "diode",
                     joined({junction("model", silicon_ideality, silicon_series, silicon),
                             junction_charge(), junction_limits()}),
                     "anode"});
    rules.push_back({Kind::led, "led",
                     joined({junction("model", Usual(2, 1.5, 3), Usual(2, 0.5, 10), led_slope),
                             junction_charge(), emission(), junction_limits(), life()}),
                     "anode"});
    rules.push_back({Kind::zener, "zener",
                     joined({junction("model", silicon_ideality, silicon_series, silicon),
                             junction_charge(),
                             {{.key = Key::zener_voltage,
                               .group = "model",
                               .dimension = D::voltage,
                               .range = Range::above_zero,
                               .needed = true},
                              {Key::zener_current, "model", D::current, Range::above_zero, 5e-3},
                              {Key::zener_resistance, "model", D::resistance, Range::from_zero,
                               Usual(10, 3, 100)},
                              limit(Key::forward_current, D::current),
                              limit(Key::reverse_current, D::current),
                              limit(Key::power, D::power)},
                             derating({}, {})}),
                     "anode"});
}

void add_transistor_kinds(std::vector<KindRule>& rules) {
    rules.push_back(
        {Kind::transistor, "transistor",
         joined({{{.key = Key::polarity, .form = Form::choice, .words = "npn|pnp", .alias = "type"},
                  {.key = Key::pins, .form = Form::choice, .words = "ebc|ecb|bec|bce|ceb|cbe"}},
                 bipolar("model", 1e-14, Usual(200, 40, 600), 4, 80, 0.2, 0, Usual(1, 0.2, 5)),
                 bipolar_charge("model", false),
                 {limit(Key::collector_current, D::current), limit(Key::base_current, D::current),
                  limit(Key::collector_emitter_voltage, D::voltage),
                  limit(Key::emitter_base_voltage, D::voltage), limit(Key::power, D::power)},
                 derating({}, {})}),
         "collector (npn) or emitter (pnp)"});
    rules.push_back(
        {Kind::mosfet, "mosfet",
         joined({{{.key = Key::channel, .form = Form::choice, .words = "n|p", .alias = "polarity"},
                  {.key = Key::pins, .form = Form::choice, .words = "gds|gsd|dgs|dsg|sgd|sdg"},
                  {Key::threshold, "model", D::voltage, Range::any, Usual(2, 0.8, 4)},
                  // Common practice: -2 to -6 mV/K, small ones less.
                  {Key::threshold_slope, "model", D::voltage_per_temperature, Range::any,
                   Usual(-3e-3, -7e-3, -1e-3)},
                  {Key::transconductance, "model", D::transconductance, Range::above_zero,
                   Usual(0.5, 0.1, 20)},
                  {Key::slope_factor, "model", D::ratio, Range::above_zero, 1.3},
                  {.key = Key::channel_modulation,
                   .group = "model",
                   .dimension = D::per_voltage,
                   .standard = Usual(0.01, 0, 0.05),
                   .may_be_plain = true},
                  {Key::gate_source_capacitance, "model", D::capacitance, Range::from_zero},
                  {Key::gate_drain_capacitance, "model", D::capacitance, Range::from_zero},
                  limit(Key::drain_current, D::current),
                  limit(Key::drain_source_voltage, D::voltage),
                  limit(Key::gate_source_voltage, D::voltage),
                  limit(Key::power, D::power)},
                 derating({}, {})}),
         "drain (n-channel) or source (p-channel)"});
}

void add_load_kinds(std::vector<KindRule>& rules) {
    const KeyRule needed_resistance{.key = Key::resistance,
                                    .group = "model",
                                    .dimension = D::resistance,
                                    .range = Range::above_zero,
                                    .needed = true};
    rules.push_back({Kind::coil, "coil",
                     joined({{needed_resistance,
                              {Key::inductance, "model", D::inductance, Range::from_zero},
                              {Key::pull_in, "model", D::voltage, Range::above_zero},
                              {Key::drop_out, "model", D::voltage, Range::above_zero},
                              limit(Key::voltage, D::voltage),
                              limit(Key::power, D::power)},
                             derating({}, {})}),
                     ""});
    rules.push_back({Kind::load, "load",
                     joined({{needed_resistance,
                              {Key::inductance, "model", D::inductance, Range::from_zero},
                              limit(Key::current, D::current),
                              limit(Key::voltage, D::voltage),
                              limit(Key::power, D::power)},
                             derating({}, {})}),
                     ""});
}

void add_logic_kinds(std::vector<KindRule>& rules) {
    rules.push_back(
        {Kind::logic_output,
         "logic output",
         {{Key::high, "model", D::voltage, Range::any, {}, true},
          {Key::low, "model", D::voltage, Range::any, 0.0},
          {Key::resistance, "model", D::resistance, Range::from_zero, Usual(25, 10, 100)},
          {Key::rise_time, "model", D::time, Range::from_zero},
          limit(Key::source_limit, D::current),
          limit(Key::sink_limit, D::current)},
         "supply"});
    rules.push_back({Kind::logic_input,
                     "logic input",
                     {{Key::low_below, "model", D::voltage, Range::any},
                      {Key::high_above, "model", D::voltage, Range::any},
                      {Key::leakage, "model", D::current, Range::any, Usual(0, 0, 1e-6)},
                      {Key::capacitance, "model", D::capacitance, Range::from_zero},
                      limit(Key::voltage, D::voltage)},
                     "the input's pin"});
}

void add_gap_kinds(std::vector<KindRule>& rules) {
    const KeyRule dark_current{Key::dark_current, "transfer", D::current, Range::from_zero,
                               dark_photocurrent};
    rules.push_back(
        {Kind::coupler, "coupler",
         joined({{{.key = Key::package, .form = Form::choice, .words = "4|6"}},
                 junction("emitter", Usual(1.6, 1.3, 2), Usual(1.5, 0.5, 5), infrared_slope),
                 {{.key = Key::ctr,
                   .group = "transfer",
                   .range = Range::above_zero,
                   .form = Form::quantity_at,
                   .conditions = {D::current, D::voltage}},
                  {Key::photocurrent_ratio, "transfer", D::ratio, Range::from_zero, 4.5e-3},
                  {Key::low_knee, "transfer", D::current, Range::from_zero, 2.5e-3},
                  {Key::high_knee, "transfer", D::current, Range::above_zero, 0.1},
                  {.key = Key::temperature_coefficient,
                   .group = "transfer",
                   .dimension = D::per_temperature,
                   .range = Range::any,
                   .standard = Usual(-0.008, -0.012, -0.002),
                   .may_be_plain = true},
                  dark_current,
                  {Key::gap_capacitance, "transfer", D::capacitance, Range::from_zero, 0.6e-12},
                  {Key::base_share, "transfer", D::ratio, Range::share, 0.05},
                  {Key::emitter_capacitance, "emitter", D::capacitance, Range::from_zero}},
                 receiver("receiver", 300),
                 {limit(Key::forward_current, D::current), limit(Key::reverse_voltage, D::voltage),
                  limit(Key::power, D::power), limit(Key::receiver_power, D::power),
                  limit(Key::insulation_voltage, D::voltage)},
                 receiver_limits(),
                 derating({}, {}),
                 insulation(),
                 life()}),
         "anode (input side), collector (output side)"});
    rules.push_back(
        {Kind::pair,
         "pair",
         {{.key = Key::emitter, .needed = true, .form = Form::description},
          {.key = Key::receiver, .needed = true, .form = Form::description},
          {.key = Key::distance,
           .dimension = D::length,
           .range = Range::above_zero,
           .needed = true},
          {Key::angle, "", D::angle, Range::acute_angle, 0.0},
          {.key = Key::over_distance, .form = Form::choice, .words = "inverse square|as built"},
          {Key::shroud, "", D::ratio, Range::share, 0.0},
          {Key::gap_capacitance, "", D::capacitance, Range::from_zero, 0.0},
          {Key::base_share, "", D::ratio, Range::share, 0.05}},
         "anode (input side), collector (output side)"});
}

void add_card_only_kinds(std::vector<KindRule>& rules) {
    rules.push_back(
        {Kind::phototransistor, "phototransistor",
         joined({{{.key = Key::sensitivity,
                   .group = "model",
                   .dimension = D::current,
                   .range = Range::above_zero,
                   .needed = true,
                   .form = Form::quantity_at,
                   .conditions = {D::irradiance}},
                  {.key = Key::ambient_sensitivity,
                   .group = "model",
                   .dimension = D::current,
                   .form = Form::quantity_at,
                   .conditions = {D::illuminance}},
                  {Key::dark_current, "model", D::current, Range::from_zero, dark_photocurrent}},
                 receiver("model", Usual(300, 100, 1000)),
                 receiver_limits(),
                 {limit(Key::power, D::power)},
                 derating({}, {})}),
         "collector", true});
    rules.push_back(
        {Kind::light_dependent_resistor, "light-dependent resistor",
         joined({{{.key = Key::resistance,
                   .group = "model",
                   .dimension = D::resistance,
                   .range = Range::above_zero,
                   .needed = true,
                   .form = Form::quantity_at,
                   .conditions = {D::illuminance}},
                  {.key = Key::gamma, .group = "model", .range = Range::above_zero, .needed = true},
                  {Key::dark_resistance, "model", D::resistance, Range::above_zero,
                   Usual(2e6, 2e5, 1e8)},
                  {Key::rise_time, "model", D::time, Range::from_zero},
                  {Key::decay_time, "model", D::time, Range::from_zero},
                  limit(Key::power, D::power),
                  limit(Key::voltage, D::voltage),
                  {Key::diameter, "limits", D::length, Range::above_zero}},
                 derating({}, {})}),
         "", true});
    rules.push_back({Kind::battery,
                     "battery",
                     {{Key::voltage, "model", D::voltage, Range::above_zero, {}, true},
                      {Key::resistance, "model", D::resistance, Range::from_zero, 0.0}},
                     "",
                     true});
}

}  // namespace

// In the order of the enumeration.
std::vector<KindRule> make_kind_rules() {
    std::vector<KindRule> rules;
    add_passive_kinds(rules);
    add_junction_kinds(rules);
    add_transistor_kinds(rules);
    add_load_kinds(rules);
    add_logic_kinds(rules);
    add_gap_kinds(rules);
    add_card_only_kinds(rules);
    return rules;
}

}  // namespace gapwright
