// What a sweep reads at one current, and how well its readings tell it.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "instrument/sweep_plan.hpp"

namespace gapwright {

// What says how large the driven part's current is.
enum class CurrentFrom : std::uint8_t {
    reading,  // the supply's own reading
    setting,  // what the supply holds: its reading comes in steps above a tenth of that
    meter,    // the meter, across a shunt or in series
};
std::string_view current_from_name(CurrentFrom from);  // "reading"

struct SweepPoint {
    double set_current = 0;     // A, as the supply holds it
    double read_current = 0;    // A, as the supply reads it
    double supply_voltage = 0;  // V, as the supply reads it
    double feed_voltage = 0;    // V, as the second supply reads it
    double meter = 0;           // V or A, by MeterPlace; 0 without a meter
    double time = 0;            // s since the output was first switched on
    bool settled = false;       // two successive readings agreed

    // Of the driven part. Uncertainties are standard ones, of what the steps of readings and a
    // shunt leave open; what else an instrument errs by is not known here.
    double voltage = 0;              // V
    double voltage_uncertainty = 0;  // V
    double current = 0;              // A
    double current_uncertainty = 0;  // share
    CurrentFrom current_from = CurrentFrom::reading;

    // Of the part that a second supply feeds.
    double received = 0;              // A
    double received_uncertainty = 0;  // share
    double received_voltage = 0;      // V, collector to emitter
};

// In which steps readings come; 0: in none that can be seen.
struct ReadingSteps {
    double supply_current = 0;  // A
    double supply_voltage = 0;  // V
    double feed_voltage = 0;    // V
    double meter = 0;           // V or A
};

// Every reading of a sweep, for its steps.
struct SweepReadings {
    std::vector<double> supply_current;
    std::vector<double> supply_voltage;
    std::vector<double> feed_voltage;
    std::vector<double> meter;
};
ReadingSteps steps_of(const SweepReadings& readings);

// What the point's readings say of both parts, from the readings alone and then with what is known
// of their steps: a supply's reading that comes in steps of more than a tenth of the current is not
// taken for it.
void weigh(SweepPoint& point, const SweepPlan& plan, const ReadingSteps& steps);

}  // namespace gapwright
