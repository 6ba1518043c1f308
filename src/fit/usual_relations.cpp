// The table of figures that must fit one another. Common practice, from memory of what is sold.
#include <cmath>
#include <numbers>
#include <span>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "device/constants.hpp"
#include "fit/usual_figures.hpp"
#include "units/dimension.hpp"

namespace gapwright::checking {
namespace {

using K = Kind;
using D = Dimension;
using enum Key;

double of(const Description& card, Key key) {
    return card.nominal(key);
}
double at(const Description& card, Key key) {
    return card.at(key).conditions[0];
}
template <Key Above, Key Below>
double ratio(const Description& card) {
    return of(card, Above) / of(card, Below);
}
template <Key First, Key Second>
double product(const Description& card) {
    return of(card, First) * of(card, Second);
}

// The solid angle of a beam, sr.
double beam(const Description& card) {
    return 2 * std::numbers::pi * (1 - std::cos(of(card, half_angle)));
}
// The share of what it takes that comes out as light, or lumens of each watt.
template <Key Intensity>
double light_yield(const Description& card) {
    return of(card, Intensity) * beam(card) / (of(card, forward) * at(card, Intensity));
}

const std::vector<Kind> emitters = {K::led, K::coupler};
const std::vector<Kind> fets = {K::mosfet};
const std::vector<Kind> bipolar = {K::transistor};

std::vector<UsualRelation> of_junctions() {
    return {
        {emitters,
         {power, forward, forward_current},
         [](const Description& c) {
             return of(c, power) / (of(c, forward) * of(c, forward_current));
         },
         0.5,
         4,
         D::ratio,
         "the power it may take over what its largest current makes"},
        {emitters,
         {series_resistance, forward},
         [](const Description& c) {
             return of(c, series_resistance) * at(c, forward) / of(c, forward);
         },
         0.0045,
         0.24,
         D::ratio,
         "the share of the forward voltage that the resistance drops"},
        {emitters,
         {forward_current, forward},
         [](const Description& c) { return at(c, forward) / of(c, forward_current); },
         0.04,
         1.01,
         D::ratio,
         "the test current over the largest"},
        {emitters,
         {at_current, forward_current},
         ratio<at_current, forward_current>,
         0.1,
         1.01,
         D::ratio,
         "the current of its life over the largest"},
        {{K::led},
         {radiant_intensity, half_angle, forward},
         light_yield<radiant_intensity>,
         0.01,
         0.75,
         D::ratio,
         "the share of its power that comes out as light"},
        {{K::led},
         {luminous_intensity, half_angle, forward},
         light_yield<luminous_intensity>,
         0.5,
         250,
         D::ratio,
         "the lumens of each watt"},
        {{K::diode},
         {series_resistance, forward_current},
         product<series_resistance, forward_current>,
         0.01,
         0.45,
         D::voltage,
         "the drop of the resistance at the largest current"},
        {{K::diode},
         {forward_current, forward},
         [](const Description& c) { return at(c, forward) / of(c, forward_current); },
         0.02,
         3.2,
         D::ratio,
         "the test current over the largest"},
        {{K::diode},
         {power, forward, forward_current},
         [](const Description& c) {
             return of(c, power) / (of(c, forward) * of(c, forward_current));
         },
         0.5,
         8,
         D::ratio,
         "the power it may take over what its largest current makes"},
    };
}

std::vector<UsualRelation> of_gaps() {
    return {
        {{K::coupler, K::phototransistor},
         {emitter_collector_voltage, collector_emitter_voltage},
         ratio<emitter_collector_voltage, collector_emitter_voltage>,
         0.02,
         0.3,
         D::ratio,
         "what its receiver stands backwards over forwards"},
        {{K::coupler},
         {insulation_voltage, repetitive_peak_voltage},
         ratio<insulation_voltage, repetitive_peak_voltage>,
         0.4,
         1.6,
         D::ratio,
         "the voltage in use over the repetitive peak"},
        {{K::coupler},
         {transient_peak_voltage, isolation_test_voltage},
         ratio<transient_peak_voltage, isolation_test_voltage>,
         0.7,
         2.5,
         D::ratio,
         "the transient peak over the test voltage, r.m.s."},
        {{K::coupler},
         {external_creepage, isolation_test_voltage},
         ratio<external_creepage, isolation_test_voltage>,
         0.6e-6,
         5e-6,
         D::ratio,
         "metres of creepage for each volt of the test"},
        {{K::light_dependent_resistor},
         {resistance, Key::gamma},
         [](const Description& c) {
             return of(c, resistance) * std::pow(at(c, resistance) / 10, of(c, Key::gamma));
         },
         1e3,
         80e3,
         D::resistance,
         "its resistance at 10 lx",
         100,
         2e6},
        {{K::light_dependent_resistor},
         {dark_resistance, resistance, Key::gamma},
         [](const Description& c) {
             return of(c, dark_resistance) /
                    (of(c, resistance) * std::pow(at(c, resistance) / 10, of(c, Key::gamma)));
         },
         25,
         2e3,
         D::ratio,
         "its resistance in the dark over that at 10 lx"},
        {{K::phototransistor},
         {sensitivity},
         [](const Description& c) { return of(c, sensitivity) / at(c, sensitivity); },
         0.02e-6,
         5e-6,
         D::current,
         "its photocurrent in 1 W/m²"},
        {{K::phototransistor},
         {ambient_sensitivity, sensitivity},
         [](const Description& c) {
             return of(c, ambient_sensitivity) / at(c, ambient_sensitivity) /
                    (of(c, sensitivity) / at(c, sensitivity));
         },
         0.5e-3,
         0.02,
         D::ratio,
         "what 1 lx of daylight does over what 1 W/m² does"},
    };
}

std::vector<UsualRelation> of_switches() {
    return {
        {bipolar,
         {base_current, collector_current},
         ratio<base_current, collector_current>,
         0.03,
         0.6,
         D::ratio,
         "the base current it may have over the collector's"},
        {bipolar,
         {knee_current, collector_current},
         ratio<knee_current, collector_current>,
         0.3,
         8,
         D::ratio,
         "the knee of its gain over the largest current"},
        {bipolar,
         {power, collector_current},
         ratio<power, collector_current>,
         0.4,
         15,
         D::voltage,
         "its power for each ampere"},
        {bipolar,
         {collector_resistance, collector_current},
         product<collector_resistance, collector_current>,
         0.04,
         2,
         D::voltage,
         "the drop of the collector's resistance at the largest current"},
        {bipolar,
         {transport_current, collector_current},
         [](const Description& c) {
             return thermal_voltage(reference_temperature) *
                    std::log(0.1 * of(c, collector_current) / of(c, transport_current));
         },
         0.67,
         0.77,
         D::voltage,
         "its base-emitter voltage at a tenth of the largest current"},
        {bipolar,
         {leak_current, transport_current},
         ratio<leak_current, transport_current>,
         2,
         50,
         D::ratio,
         "the leak of its base over the transport current"},
        {fets,
         {transconductance, drain_current},
         ratio<transconductance, drain_current>,
         0.2,
         8,
         D::ratio,
         "its transconductance over the largest current"},
        {fets,
         {power, drain_current},
         ratio<power, drain_current>,
         0.06,
         6,
         D::voltage,
         "its power for each ampere"},
        {fets,
         {gate_source_capacitance, transconductance},
         ratio<gate_source_capacitance, transconductance>,
         10e-12,
         700e-12,
         D::capacitance,
         "the capacitance of its gate for each A/V²"},
        {fets,
         {gate_drain_capacitance, gate_source_capacitance},
         ratio<gate_drain_capacitance, gate_source_capacitance>,
         0.02,
         0.8,
         D::ratio,
         "the gate's capacitance to the drain over that to the source"},
        {{K::coil},
         {pull_in, voltage},
         ratio<pull_in, voltage>,
         0.2,
         0.95,
         D::ratio,
         "the voltage that pulls it in over the largest"},
        {{K::coil},
         {drop_out, pull_in},
         ratio<drop_out, pull_in>,
         0.05,
         0.9,
         D::ratio,
         "the voltage that lets it go over the one that pulls it in"},
        {{K::coil},
         {resistance, pull_in},
         [](const Description& c) { return of(c, pull_in) * of(c, pull_in) / of(c, resistance); },
         0.03,
         1.5,
         D::power,
         "what it takes where it pulls in"},
        {{K::coil},
         {inductance, resistance},
         ratio<inductance, resistance>,
         0.2e-3,
         12e-3,
         D::time,
         "its inductance over its resistance"},
        {{K::logic_input},
         {low_below, high_above},
         ratio<low_below, high_above>,
         0.15,
         0.95,
         D::ratio,
         "what it takes for low over what it takes for high"},
        {{K::logic_input},
         {voltage, high_above},
         ratio<voltage, high_above>,
         1.1,
         6,
         D::ratio,
         "the voltage it may have over what it takes for high"},
        {{K::logic_output},
         {sink_limit, resistance, high},
         [](const Description& c) { return of(c, sink_limit) * of(c, resistance) / of(c, high); },
         0.02,
         0.8,
         D::ratio,
         "the share of its voltage that it drops at its largest current"},
        {{K::battery},
         {resistance, voltage},
         ratio<voltage, resistance>,
         0.7,
         60,
         D::current,
         "its current into a short circuit"},
    };
}

}  // namespace

std::span<const UsualRelation> usual_relations() {
    static const std::vector<UsualRelation> all = [] {
        std::vector<UsualRelation> rows = of_junctions();
        for (const auto& more : {of_gaps(), of_switches()})
            rows.insert(rows.end(), more.begin(), more.end());
        return rows;
    }();
    return all;
}

}  // namespace gapwright::checking
