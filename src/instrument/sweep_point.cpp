#include "instrument/sweep_point.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string_view>

#include "instrument/reading_step.hpp"
#include "instrument/sweep_plan.hpp"

namespace gapwright {
namespace {

constexpr double coarsest_share = 0.1;  // of the current, up to which a reading's step may be

// A share of the value, infinite where there is nothing to have a share of.
double share_of(double uncertainty, double value) {
    return value > 0 ? uncertainty / value : std::numeric_limits<double>::infinity();
}

// What the meter says of the current in its line, with its uncertainty as a share.
struct MeteredCurrent {
    double amperes = 0;
    double uncertainty = 0;
};
MeteredCurrent metered_current(const SweepPoint& point, const SweepPlan& plan, double step) {
    const double own = share_of(step_uncertainty * step, point.meter);
    if (plan.meter == MeterPlace::in_series) return {point.meter, own};
    return {point.meter / plan.shunt, std::hypot(own, plan.shunt_uncertainty)};
}

// Between the readings of a supply and what it was set to.
void weigh_supply_current(SweepPoint& point, double step) {
    if (step <= coarsest_share * point.set_current) {
        point.current_from = CurrentFrom::reading;
        point.current = point.read_current;
        point.current_uncertainty = share_of(step_uncertainty * step, point.read_current);
        return;
    }
    // As far as the reading confirms it: within half a step, or as far off as it is.
    const double off = std::abs(point.read_current - point.set_current) / std::numbers::sqrt3;
    point.current_from = CurrentFrom::setting;
    point.current = point.set_current;
    point.current_uncertainty = share_of(std::max(step_uncertainty * step, off), point.set_current);
}

}  // namespace

std::string_view current_from_name(CurrentFrom from) {
    switch (from) {
        case CurrentFrom::reading:
            return "reading";
        case CurrentFrom::setting:
            return "setting";
        case CurrentFrom::meter:
            return "meter";
    }
    return "";
}

ReadingSteps steps_of(const SweepReadings& readings) {
    return {.supply_current = reading_step(readings.supply_current),
            .supply_voltage = reading_step(readings.supply_voltage),
            .feed_voltage = reading_step(readings.feed_voltage),
            .meter = reading_step(readings.meter)};
}

void weigh(SweepPoint& point, const SweepPlan& plan, const ReadingSteps& steps) {
    const double shunt_drop = plan.meter == MeterPlace::across_shunt ? point.meter : 0;
    weigh_supply_current(point, steps.supply_current);
    if (plan.meter == MeterPlace::across_part) {
        point.voltage = point.meter;
        point.voltage_uncertainty = step_uncertainty * steps.meter;
    } else {
        point.voltage = point.supply_voltage;
        point.voltage_uncertainty = step_uncertainty * steps.supply_voltage;
    }
    if (!meters_current(plan.meter)) return;
    const MeteredCurrent metered = metered_current(point, plan, steps.meter);
    if (plan.feed) {
        point.received = metered.amperes;
        point.received_uncertainty = metered.uncertainty;
        point.received_voltage = point.feed_voltage - shunt_drop;
        return;
    }
    point.current = metered.amperes;
    point.current_uncertainty = metered.uncertainty;
    point.current_from = CurrentFrom::meter;
    point.voltage -= shunt_drop;
}

}  // namespace gapwright
