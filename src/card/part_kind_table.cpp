// The table of kinds and keys. Defaults are those of docs/method.md.
#include "card/part_kind_table.hpp"
#include <initializer_list>
#include <optional>
#include <string_view>
#include <vector>
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
constexpr Usual dark_photocurrent(0.1e-9, 0.01e-9, 10e-9);
constexpr double hour = 3600;  // s

// Every limit that a data sheet of this kind states; checked in every state.
KeyRule limit(std::string_view name, Dimension dimension) {
    return {.name = name, .group = "limits", .dimension = dimension, .range = Range::above_zero};
}

// Full rating up to one temperature, falling linearly to nothing at the other.
Keys derating(std::optional<double> full_to, std::optional<double> zero_at) {
    return {{.name = "full_rating_to",
             .group = "limits",
             .dimension = D::temperature,
             .range = Range::any,
             .standard = full_to},
            {.name = "zero_rating_at",
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

// A junction's model; defaults of docs/method.md.
Keys junction(std::string_view group, Usual ideality, Usual series, double bandgap) {
    return {{.name = "forward",
             .group = group,
             .dimension = D::voltage,
             .range = Range::above_zero,
             .form = Form::quantity_at,
             .conditions = {D::current}},
            {"saturation_current", group, D::current, Range::above_zero},
            {"ideality", group, D::ratio, Range::above_zero, ideality},
            {"series_resistance", group, D::resistance, Range::from_zero, series},
            {"bandgap", group, D::energy, Range::above_zero, bandgap},
            {"temperature_exponent", group, D::ratio, Range::any, 3.0}};
}

// For time behaviour; answers at rest do not use them.
Keys junction_charge() {
    return {{"junction_capacitance", "model", D::capacitance, Range::from_zero},
            {"transit_time", "model", D::time, Range::from_zero}};
}

Keys life() {
    return {{"to_80_percent", "life", D::time, Range::above_zero,
             Usual(50e3 * hour, 20e3 * hour, 200e3 * hour)},
            {"at_current", "life", D::current, Range::above_zero, 20e-3},
            {"at_temperature", "life", D::temperature, Range::above_zero, 298.15},
            {"current_exponent", "life", D::ratio, Range::from_zero, 1.5},
            {"activation_energy", "life", D::energy, Range::from_zero, 0.4},
            {"shape", "life", D::ratio, Range::above_zero, 0.6}};
}

// What a coupler's data sheet says of its insulation, in the terms of IEC 60747-5-5 (from memory).
Keys insulation() {
    return {{"isolation_test_voltage", "insulation", D::voltage, Range::above_zero},   // V_ISO
            {"repetitive_peak_voltage", "insulation", D::voltage, Range::above_zero},  // V_IORM
            {"transient_peak_voltage", "insulation", D::voltage, Range::above_zero},   // V_IOTM
            {"external_clearance", "insulation", D::length, Range::above_zero},
            {"external_creepage", "insulation", D::length, Range::above_zero},
            {"distance_through_insulation", "insulation", D::length, Range::above_zero},
            {.name = "material_group",
             .group = "insulation",
             .form = Form::choice,
             .words = "I|II|IIIa|IIIb"}};
}

Keys emission() {
    return {{.name = "radiant_intensity",
             .group = "model",
             .dimension = D::radiant_intensity,
             .range = Range::above_zero,
             .form = Form::quantity_at,
             .conditions = {D::current}},
            {.name = "luminous_intensity",
             .group = "model",
             .dimension = D::luminous_intensity,
             .range = Range::above_zero,
             .form = Form::quantity_at,
             .conditions = {D::current}},
            {"half_angle", "model", D::angle, Range::beam_angle, 0.35},
            {.name = "temperature_coefficient",
             .group = "model",
             .dimension = D::per_temperature,
             .range = Range::any,
             .standard = Usual(-0.005, -0.01, 0),
             .may_be_plain = true},
            {"source_size", "model", D::length, Range::above_zero, 5e-3}};
}

// For time behaviour; only a receiver's are known where its card says nothing.
Keys bipolar_charge(std::string_view group, bool receiver) {
    const auto known = [&](double figure) {
        return receiver ? std::optional(figure) : std::nullopt;
    };
    return {{"base_collector_capacitance", group, D::capacitance, Range::from_zero, known(12e-12)},
            {"base_emitter_capacitance", group, D::capacitance, Range::from_zero, known(20e-12)},
            {"transit_time", group, D::time, Range::from_zero, known(2e-9)},
            {"reverse_transit_time", group, D::time, Range::from_zero, known(200e-9)}};
}

Keys bipolar(std::string_view group, double transport, Usual gain, double reverse, double early,
             double knee, double leak, Usual collector) {
    return {{"transport_current", group, D::current, Range::above_zero, transport},
            {"gain", group, D::ratio, Range::above_zero, gain},
            {"reverse_gain", group, D::ratio, Range::above_zero, reverse},
            {"early_voltage", group, D::voltage, Range::above_zero, early},
            {"knee_current", group, D::current, Range::above_zero, knee},
            {"leak_current", group, D::current, Range::from_zero, leak},
            {"leak_ideality", group, D::ratio, Range::above_zero, 1.6},
            {"collector_resistance", group, D::resistance, Range::from_zero, collector},
            {"gain_exponent", group, D::ratio, Range::any, 1.5}};
}

// Receivers: docs/method.md; `second_gain` makes a darlington of it.
Keys receiver(std::string_view group, Usual gain) {
    return joined({bipolar(group, 1e-13, gain, 10, 60, 30e-3, 2e-12, Usual(4, 2, 30)),
                   bipolar_charge(group, true),
                   {{"second_gain", group, D::ratio, Range::above_zero}}});
}

Keys junction_limits() {
    return joined({{limit("forward_current", D::current), limit("reverse_voltage", D::voltage),
                    limit("power", D::power)},
                   derating({}, {})});
}

Keys receiver_limits() {
    return {limit("collector_current", D::current), limit("collector_emitter_voltage", D::voltage),
            limit("emitter_collector_voltage", D::voltage)};
}

void add_passive_kinds(std::vector<KindRule>& rules) {
    rules.push_back(
        {Kind::resistor, "resistor",
         joined(
             {{{.name = "value", .dimension = D::resistance, .needed = true, .alias = "resistance"},
               limit("power", D::power),
               limit("voltage", D::voltage)},
              derating(343.15, 428.15)}),
         ""});
    rules.push_back({Kind::capacitor,
                     "capacitor",
                     {{.name = "value",
                       .dimension = D::capacitance,
                       .range = Range::above_zero,
                       .needed = true,
                       .alias = "capacitance"},
                      limit("voltage", D::voltage)},
                     "plus"});
    rules.push_back({Kind::inductor,
                     "inductor",
                     {{.name = "value",
                       .dimension = D::inductance,
                       .range = Range::above_zero,
                       .needed = true,
                       .alias = "inductance"},
                      {"resistance", "model", D::resistance, Range::from_zero, 0.0},
                      limit("current", D::current)},
                     ""});
    rules.push_back(
        {Kind::contact,
         "contact",
         {{"closed_resistance", "model", D::resistance, Range::from_zero, Usual(0.05, 0.01, 0.2)},
          {"open_resistance", "model", D::resistance, Range::above_zero, Usual(1e9, 1e8, 1e11)},
          {"leakage", "model", D::current, Range::from_zero, 0.0},
          {"bounce", "model", D::time, Range::from_zero},
          limit("current", D::current),
          limit("voltage", D::voltage)},
         ""});
}

void add_junction_kinds(std::vector<KindRule>& rules) {
    rules.push_back({Kind::diode, "diode",
                     joined({junction("model", silicon_ideality, silicon_series, 1.12),
                             junction_charge(), junction_limits()}),
                     "anode"});
    rules.push_back({Kind::led, "led",
                     joined({junction("model", Usual(2, 1.5, 3), Usual(2, 0.5, 10), 1.9),
                             junction_charge(), emission(), junction_limits(), life()}),
                     "anode"});
    rules.push_back(
        {Kind::zener, "zener",
         joined({junction("model", silicon_ideality, silicon_series, 1.12),
                 junction_charge(),
                 {{.name = "zener_voltage",
                   .group = "model",
                   .dimension = D::voltage,
                   .range = Range::above_zero,
                   .needed = true},
                  {"zener_current", "model", D::current, Range::above_zero, 5e-3},
                  {"zener_resistance", "model", D::resistance, Range::from_zero, Usual(10, 3, 100)},
                  limit("forward_current", D::current),
                  limit("reverse_current", D::current),
                  limit("power", D::power)},
                 derating({}, {})}),
         "anode"});
}

void add_transistor_kinds(std::vector<KindRule>& rules) {
    rules.push_back(
        {Kind::transistor, "transistor",
         joined({{{.name = "polarity", .form = Form::choice, .words = "npn|pnp", .alias = "type"},
                  {.name = "pins", .form = Form::choice, .words = "ebc|ecb|bec|bce|ceb|cbe"}},
                 bipolar("model", 1e-14, Usual(200, 40, 600), 4, 80, 0.2, 0, Usual(1, 0.2, 5)),
                 bipolar_charge("model", false),
                 {limit("collector_current", D::current), limit("base_current", D::current),
                  limit("collector_emitter_voltage", D::voltage),
                  limit("emitter_base_voltage", D::voltage), limit("power", D::power)},
                 derating({}, {})}),
         "collector (npn) or emitter (pnp)"});
    rules.push_back(
        {Kind::mosfet, "mosfet",
         joined({{{.name = "channel", .form = Form::choice, .words = "n|p", .alias = "polarity"},
                  {.name = "pins", .form = Form::choice, .words = "gds|gsd|dgs|dsg|sgd|sdg"},
                  {"threshold", "model", D::voltage, Range::any, Usual(2, 0.8, 4)},
                  {"transconductance", "model", D::transconductance, Range::above_zero,
                   Usual(0.5, 0.1, 20)},
                  {"slope_factor", "model", D::ratio, Range::above_zero, 1.3},
                  {.name = "channel_modulation",
                   .group = "model",
                   .dimension = D::per_voltage,
                   .standard = Usual(0.01, 0, 0.05),
                   .may_be_plain = true},
                  {"gate_source_capacitance", "model", D::capacitance, Range::from_zero},
                  {"gate_drain_capacitance", "model", D::capacitance, Range::from_zero},
                  limit("drain_current", D::current),
                  limit("drain_source_voltage", D::voltage),
                  limit("gate_source_voltage", D::voltage),
                  limit("power", D::power)},
                 derating({}, {})}),
         "drain (n-channel) or source (p-channel)"});
}

void add_load_kinds(std::vector<KindRule>& rules) {
    const KeyRule needed_resistance{.name = "resistance",
                                    .group = "model",
                                    .dimension = D::resistance,
                                    .range = Range::above_zero,
                                    .needed = true};
    rules.push_back({Kind::coil, "coil",
                     joined({{needed_resistance,
                              {"inductance", "model", D::inductance, Range::from_zero},
                              {"pull_in", "model", D::voltage, Range::above_zero},
                              {"drop_out", "model", D::voltage, Range::above_zero},
                              limit("voltage", D::voltage),
                              limit("power", D::power)},
                             derating({}, {})}),
                     ""});
    rules.push_back({Kind::load, "load",
                     joined({{needed_resistance,
                              {"inductance", "model", D::inductance, Range::from_zero},
                              limit("current", D::current),
                              limit("voltage", D::voltage),
                              limit("power", D::power)},
                             derating({}, {})}),
                     ""});
}

void add_logic_kinds(std::vector<KindRule>& rules) {
    rules.push_back({Kind::logic_output,
                     "logic output",
                     {{"high", "model", D::voltage, Range::any, {}, true},
                      {"low", "model", D::voltage, Range::any, 0.0},
                      {"resistance", "model", D::resistance, Range::from_zero, Usual(25, 10, 100)},
                      {"rise_time", "model", D::time, Range::from_zero},
                      limit("source_limit", D::current),
                      limit("sink_limit", D::current)},
                     "supply"});
    rules.push_back({Kind::logic_input,
                     "logic input",
                     {{"low_below", "model", D::voltage, Range::any},
                      {"high_above", "model", D::voltage, Range::any},
                      {"leakage", "model", D::current, Range::any, Usual(0, 0, 1e-6)},
                      {"capacitance", "model", D::capacitance, Range::from_zero},
                      limit("voltage", D::voltage)},
                     "the input's pin"});
}

void add_gap_kinds(std::vector<KindRule>& rules) {
    const KeyRule dark_current{"dark_current", "transfer", D::current, Range::from_zero,
                               dark_photocurrent};
    rules.push_back(
        {Kind::coupler, "coupler",
         joined({{{.name = "package", .form = Form::choice, .words = "4|6"}},
                 junction("emitter", Usual(1.6, 1.3, 2), Usual(1.5, 0.5, 5), 1.43),
                 {{.name = "ctr",
                   .group = "transfer",
                   .range = Range::above_zero,
                   .form = Form::quantity_at,
                   .conditions = {D::current, D::voltage}},
                  {"photocurrent_ratio", "transfer", D::ratio, Range::from_zero, 4.5e-3},
                  {"low_knee", "transfer", D::current, Range::from_zero, 0.6e-3},
                  {"high_knee", "transfer", D::current, Range::above_zero, 0.12},
                  {.name = "temperature_coefficient",
                   .group = "transfer",
                   .dimension = D::per_temperature,
                   .range = Range::any,
                   .standard = Usual(-0.005, -0.01, -0.001),
                   .may_be_plain = true},
                  dark_current,
                  {"gap_capacitance", "transfer", D::capacitance, Range::from_zero, 0.6e-12},
                  {"base_share", "transfer", D::ratio, Range::share, 0.05},
                  {"emitter_capacitance", "emitter", D::capacitance, Range::from_zero}},
                 receiver("receiver", 300),
                 {limit("forward_current", D::current), limit("reverse_voltage", D::voltage),
                  limit("power", D::power), limit("receiver_power", D::power),
                  limit("insulation_voltage", D::voltage)},
                 receiver_limits(),
                 derating({}, {}),
                 insulation(),
                 life()}),
         "anode (input side), collector (output side)"});
    rules.push_back(
        {Kind::pair,
         "pair",
         {{.name = "emitter", .needed = true, .form = Form::description},
          {.name = "receiver", .needed = true, .form = Form::description},
          {.name = "distance", .dimension = D::length, .range = Range::above_zero, .needed = true},
          {"angle", "", D::angle, Range::acute_angle, 0.0},
          {"shroud", "", D::ratio, Range::share, 0.0},
          {"gap_capacitance", "", D::capacitance, Range::from_zero, 0.0},
          {"base_share", "", D::ratio, Range::share, 0.05}},
         "anode (input side), collector (output side)"});
}

void add_card_only_kinds(std::vector<KindRule>& rules) {
    rules.push_back(
        {Kind::phototransistor, "phototransistor",
         joined({{{.name = "sensitivity",
                   .group = "model",
                   .dimension = D::current,
                   .range = Range::above_zero,
                   .needed = true,
                   .form = Form::quantity_at,
                   .conditions = {D::irradiance}},
                  {.name = "ambient_sensitivity",
                   .group = "model",
                   .dimension = D::current,
                   .form = Form::quantity_at,
                   .conditions = {D::illuminance}},
                  {"dark_current", "model", D::current, Range::from_zero, dark_photocurrent}},
                 receiver("model", Usual(300, 100, 1000)),
                 receiver_limits(),
                 {limit("power", D::power)},
                 derating({}, {})}),
         "collector", true});
    rules.push_back(
        {Kind::light_dependent_resistor, "light-dependent resistor",
         joined(
             {{{.name = "resistance",
                .group = "model",
                .dimension = D::resistance,
                .range = Range::above_zero,
                .needed = true,
                .form = Form::quantity_at,
                .conditions = {D::illuminance}},
               {.name = "gamma", .group = "model", .range = Range::above_zero, .needed = true},
               {"dark_resistance", "model", D::resistance, Range::above_zero, Usual(2e6, 2e5, 1e8)},
               {"rise_time", "model", D::time, Range::from_zero},
               {"decay_time", "model", D::time, Range::from_zero},
               limit("power", D::power),
               limit("voltage", D::voltage),
               {"diameter", "limits", D::length, Range::above_zero}},
              derating({}, {})}),
         "", true});
    rules.push_back({Kind::battery,
                     "battery",
                     {{"voltage", "model", D::voltage, Range::above_zero, {}, true},
                      {"resistance", "model", D::resistance, Range::from_zero, 0.0}},
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
