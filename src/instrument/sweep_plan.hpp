// What a sweep may do: which currents, and the limits that nothing goes beyond.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "instrument/supply.hpp"

namespace gapwright {

// Where the meter is. With a second supply, "the part" is what that one feeds.
enum class MeterPlace : std::uint8_t {
    none,          // the supply reads the voltage too; not with a second supply
    across_part,   // reads the driven part's voltage; not with a second supply
    across_shunt,  // across a stated resistor in series with the part
    in_series,     // reads the part's current itself
};

// Whether it is a current that the meter tells.
inline bool meters_current(MeterPlace place) {
    return place == MeterPlace::across_shunt || place == MeterPlace::in_series;
}

// A second supply, which feeds what receives the driven part's light.
struct FeedPlan {
    double voltage = 0;        // V, of the supply; extra-low
    double current_limit = 0;  // A, likewise

    // Of the receiving part, from its card. Voltage times current limit stays below the power.
    double largest_current = 0;  // A
    double largest_voltage = 0;  // V
    double largest_power = 0;    // W
};

struct SweepPlan {
    std::vector<double> currents;   // A, rising, each at least 1 µA
    bool may_begin_higher = false;  // leaves out smallest currents that the supply cannot hold
    double voltage_limit = 0;       // V, of the supply while the output is on; extra-low

    // Of the part, from its card. At each current the supply's voltage limit is lowered where the
    // power would otherwise be more than the largest.
    double largest_current = 0;  // A
    double largest_voltage = 0;  // V
    double largest_power = 0;    // W

    MeterPlace meter = MeterPlace::none;
    double shunt = 0;              // Ω, where the meter is across one
    double shunt_uncertainty = 0;  // standard, share of it
    bool shunt_assumed = false;    // nobody stated how far it may be off
    std::optional<FeedPlan> feed = {};

    double settle = 0.2;            // s after each step before the first reading
    double settled_within = 0.001;  // share by which two successive readings may differ, and 1 mV
                                    // or 1 µA
    int most_readings = 10;         // of one point; at least 2
    double rest = 0;                // s with the output off between points, to let the part cool

    double longest = 900;      // s for all points
    double off_longest = 30;   // s for trying to switch the output off
    double off_backoff = 0.2;  // s before the second try; doubles up to 2 s
    Patience patience = {};
};

// Why the plan may not be run: each a sentence without full stop; none when it may.
std::vector<std::string> find_unfit(const SweepPlan& plan);

// The voltage limit at that current: the plan's, or less where the largest power asks for it; V.
double voltage_limit_at(const SweepPlan& plan, double current);

}  // namespace gapwright
