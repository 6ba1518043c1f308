// What a design is measured by: every bound that a promise or a limit of a part sets, and how much
// reserve a measured value leaves to it.
#pragma once

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/verdict.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// A level of a logic input or a relay coil, in one state: which of its two bounds counts depends on
// what the part is nominally.
struct LevelReading {
    std::size_t measure = 0;
    LevelLimit limit;
};

struct Bound {
    std::size_t state = 0;
    std::size_t measure = 0;  // index into Bounds::measures
    std::string subject;      // "voltage supply to coil", "R1 power"
    Dimension dimension = Dimension::voltage;
    Sense sense = Sense::at_most;
    double value = 0;                    // as stated, before derating; of a spread the careful end
    std::optional<double> nominal = {};  // of a spread: what a nominal part has
    std::optional<Derating> derating = {};
    bool magnitude = false;  // either sign counts
    bool one_way = false;    // only its own direction counts
    bool assumed =
        false;           // nobody states it: it counts where it is passed, and no reserve is asked
    double asked = 0.1;  // asked reserve, share of the bound
    bool is_promise = false;
    std::optional<std::size_t> chosen = {};  // of a resistor to be chosen: its power, which the
                                             // choice brings along; `value` does not count
    std::optional<std::size_t> part = {};    // whose limit it is
    bool is_power = false;                   // a power that is stated of the part
    bool is_voltage = false;                 // likewise a voltage that it stands
    std::optional<std::size_t> level = {};   // index into Bounds::levels
    bool when_high = false;                  // of a level: counts where it is nominally high
    std::optional<std::size_t> timed = {};   // index into Bounds::timed; `measure` does not count
    // The value with the spread so many times as wide.
    double stretched(double rated, double stretch) const {
        return nominal ? std::lerp(*nominal, rated, stretch) : rated;
    }

    // What `measured` leaves at this temperature, in K, as reserve_left has it; `rated` in place of
    // `value`.
    double reserve(double measured, double temperature, double rated) const;
    double reserve(double measured, double temperature) const {
        return reserve(measured, temperature, value);
    }
};

struct Bounds {
    std::vector<Measure> measures;
    std::vector<Bound> bounds;
    std::vector<LevelReading> levels;
    std::vector<TimedMeasure> timed;  // promises about changes, and about pulse widths
    // By state: the currents that the supplies and logic outputs give.
    std::vector<std::vector<std::size_t>> supply_currents;
};

// The measure's index among those that there are, added where it is new.
std::size_t add_measure(std::size_t state, const Probe& probe, Bounds& bounds);

// `chosen`: parts whose value and power are still to be chosen, by index. Promises about the eye
// and the highest rate are left out: they take too long to choose by, and follow pulse widths.
Bounds bounds_of(const Link& link, const LinkCircuit& circuit,
                 const std::vector<std::size_t>& chosen);

}  // namespace gapwright
