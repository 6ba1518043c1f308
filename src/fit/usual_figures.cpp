// The table of usual figures. Common practice throughout, from memory of what is sold; bounds that
// say "cannot be" are own choice.
#include "fit/usual_figures.hpp"

#include <limits>
#include <span>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"

namespace gapwright::checking {
namespace {

using K = Kind;
using enum Key;

constexpr double hour = 3600;  // s
constexpr double none = std::numeric_limits<double>::infinity();

const std::vector<Kind> leds = {K::led};
const std::vector<Kind> couplers = {K::coupler};
const std::vector<Kind> emitters = {K::led, K::coupler};
const std::vector<Kind> silicon = {K::diode, K::zener};
const std::vector<Kind> receivers = {K::coupler, K::phototransistor};
const std::vector<Kind> transistors = {K::transistor};
const std::vector<Kind> fets = {K::mosfet};
const std::vector<Kind> cells = {K::light_dependent_resistor};

// Nothing is impossible of it.
UsualFigure usual(const std::vector<Kind>& kinds, Key key, double lowest, double highest) {
    return {kinds, key, lowest, highest, -none, none};
}

// Some tens of times beyond cannot be.
UsualFigure possible(const std::vector<Kind>& kinds, Key key, double lowest, double highest) {
    constexpr double beyond = 20;
    return {kinds, key, lowest, highest, lowest / beyond, highest * beyond};
}

std::vector<UsualFigure> junctions() {
    return {
        {leds, ideality, 1, 5, 0.9, 8},
        {couplers, ideality, 1, 2.5, 0.9, 4},
        {silicon, ideality, 1, 2.3, 0.9, 4},
        {{K::diode, K::zener, K::led, K::coupler}, bandgap, 0.6, 3.5, 0.5, 6.5},
        {emitters, forward_slope, -5e-3, -0.8e-3, -20e-3, 5e-3},
        {silicon, forward_slope, -3.5e-3, -0.8e-3, -20e-3, 5e-3},
        {leds, forward, 1, 4.5, 0.3, 12},
        {couplers, forward, 0.9, 2, 0.3, 6},
        {silicon, forward, 0.15, 1.6, 0.05, 8},
        usual(leds, forward_current, 4e-3, 0.25),
        usual(couplers, forward_current, 4e-3, 0.12),
        usual(emitters, reverse_voltage, 2, 30),
        usual({K::diode}, reverse_voltage, 10, 2000),
        usual({K::diode}, junction_capacitance, 0.3e-12, 1e-9),
        usual({K::diode}, transit_time, 1e-9, 2e-5),
        {leds, luminous_intensity, 0.5e-3, 60, 1e-6, 1e5, "is it mcd?"},
        usual(leds, radiant_intensity, 1e-3, 0.5),
        usual(leds, half_angle, 0.07, 1.4),
        {emitters, temperature_coefficient, -0.015, -0.001, -0.03, 0.03},
        usual(leds, source_size, 0.25e-3, 15e-3),
        usual(emitters, to_80_percent, 6e3 * hour, 250e3 * hour),
    };
}

std::vector<UsualFigure> gaps() {
    return {
        {couplers, ctr, 0.14, 7, 0.005, 15, "a ratio without its %?", {}, second_gain},
        {couplers, ctr, 2, 90, 0.05, 100, "a ratio without its %?", second_gain},
        usual(couplers, low_knee, 0.06e-3, 6e-3),
        usual(couplers, high_knee, 15e-3, 0.4),
        usual(couplers, gap_capacitance, 0.15e-12, 3e-12),
        usual(couplers, base_share, 2e-3, 0.3),
        usual(couplers, collector_current, 6e-3, 0.2),
        usual(couplers, collector_emitter_voltage, 5, 400),
        usual(couplers, receiver_power, 0.03, 0.4),
        possible(couplers, isolation_test_voltage, 800, 8e3),
        usual(couplers, repetitive_peak_voltage, 200, 2500),
        usual(couplers, transient_peak_voltage, 1.5e3, 15e3),
        usual(couplers, insulation_voltage, 100, 2500),
        usual(couplers, external_clearance, 2e-3, 15e-3),
        usual(couplers, external_creepage, 2e-3, 15e-3),
        usual(couplers, distance_through_insulation, 0.05e-3, 1.5e-3),
        usual(receivers, gain, 50, 1100),
        usual(receivers, second_gain, 20, 900),
        usual(receivers, transport_current, 5e-16, 5e-13),
        usual(receivers, collector_resistance, 2.5, 150),
        usual(receivers, base_collector_capacitance, 0.5e-12, 60e-12),
        usual(receivers, base_emitter_capacitance, 1e-12, 100e-12),
        usual(receivers, transit_time, 0.1e-9, 10e-9),
        usual(receivers, reverse_transit_time, 3e-9, 1e-6),
        {receivers, dark_current, 0, 15e-9, 0, 1e-6},
        {receivers, early_voltage, 8, 500, 2, 1e5},
        usual({K::phototransistor}, collector_current, 6e-3, 0.2),
        usual({K::phototransistor}, collector_emitter_voltage, 5, 100),
        usual({K::phototransistor}, power, 0.03, 0.4),
    };
}

std::vector<UsualFigure> cells_and_switches() {
    return {
        {cells, Key::gamma, 0.45, 1.1, 0.2, 1.3, "illuminance and resistance exchanged?"},
        usual(cells, power, 0.04, 0.6),
        usual(cells, voltage, 50, 500),
        possible(cells, dark_resistance, 0.1e6, 100e6),
        usual(cells, rise_time, 4e-3, 0.2),
        usual(cells, decay_time, 4e-3, 0.3),
        {transistors, gain, 18, 1000, 1, 20000},
        {transistors, early_voltage, 9, 400, 2, 1e5},
        usual(transistors, collector_emitter_voltage, 6, 400),
        usual(transistors, emitter_base_voltage, 3, 16),
        usual(transistors, power, 0.1, 200),
        usual(transistors, collector_resistance, 0.01, 5),
        possible(fets, threshold, 0.35, 6),
        {fets, threshold_slope, -9e-3, -0.5e-3, -50e-3, 50e-3},
        usual(fets, transconductance, 0.02, 300),
        usual(fets, slope_factor, 1, 2.5),
        usual(fets, drain_source_voltage, 8, 1000),
        usual(fets, gate_source_voltage, 5, 35),
        usual(fets, power, 0.15, 300),
        usual(fets, gate_source_capacitance, 5e-12, 10e-9),
        usual({K::battery}, voltage, 1, 60),
        usual({K::coil}, resistance, 5, 20e3),
        usual({K::coil}, voltage, 2, 350),
        usual({K::logic_output}, high, 1, 16),
        usual({K::logic_output}, resistance, 4.6, 400),
        usual({K::logic_output}, sink_limit, 1e-3, 0.06),
        usual({K::logic_output}, source_limit, 0.1e-3, 0.06),
        usual({K::logic_input}, high_above, 0.7, 13),
        usual({K::logic_input}, low_below, 0.2, 8),
        {{K::logic_input}, leakage, -20e-6, 20e-6, -5e-3, 5e-3},
    };
}

}  // namespace

std::span<const UsualFigure> usual_figures() {
    static const std::vector<UsualFigure> all = [] {
        std::vector<UsualFigure> rows = junctions();
        for (const auto& more : {gaps(), cells_and_switches()})
            rows.insert(rows.end(), more.begin(), more.end());
        return rows;
    }();
    return all;
}

}  // namespace gapwright::checking
