// What a sweep may do: which currents, and the limits that nothing goes beyond.
#pragma once

#include <string>
#include <vector>

#include "instrument/supply.hpp"

namespace gapwright {

struct SweepPlan {
    std::vector<double> currents;  // A, rising, each at least 1 µA
    double voltage_limit = 0;      // V, of the supply while the output is on; extra-low

    // Of the part, from its card. At each current the supply's voltage limit is lowered where the
    // power would otherwise be more than the largest.
    double largest_current = 0;  // A
    double largest_voltage = 0;  // V
    double largest_power = 0;    // W

    double settle = 0.2;            // s after each step before the first reading
    double settled_within = 0.001;  // share by which two successive voltages may differ, and 1 mV
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
