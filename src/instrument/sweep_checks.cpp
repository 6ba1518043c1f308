#include "instrument/sweep_checks.hpp"

#include <fmt/format.h>

#include <string>
#include <utility>

#include "instrument/channel.hpp"
#include "instrument/sweep_plan.hpp"
#include "instrument/sweep_point.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

using Step = InstrumentExpected<void>;

constexpr double current_share = 0.1;   // by which a measured current may differ from the set one
constexpr double current_error = 1e-3;  // A, besides that; both own choices
constexpr double voltage_error = 0.05;  // V by which a voltage may pass a limit, as meters err
constexpr double voltage_share = 0.02;  // of a voltage, besides that
constexpr double limit_share = 0.98;    // of the voltage limit: from there on it is reached

Step fault(std::string message) {
    return instrument_error(InstrumentFault::implausible, std::move(message));
}

std::string volts(double value) {
    return engineering(value, Dimension::voltage);
}
std::string amperes(double value) {
    return engineering(value, Dimension::current);
}

double allowed_off(double current) {
    return current_share * current + current_error;
}

// The driven part, as the supply reads it and a meter across it.
Step judge_drive(const SweepPoint& point, const SweepPlan& plan, double voltage_limit) {
    const double allowed = allowed_off(point.set_current);
    if (point.read_current > point.set_current + allowed) {
        return fault(fmt::format("the supply measures {}, more than it was set to",
                                 amperes(point.read_current)));
    }
    if (point.voltage < -voltage_error) {
        return fault(
            fmt::format("{} across the part: its leads are exchanged", volts(point.voltage)));
    }
    // A meter that reads more than the supply gives is not across the part.
    if (point.voltage > voltage_limit * (1 + voltage_share) + voltage_error) {
        return fault(
            fmt::format("{} across the part, more than the supply's limit", volts(point.voltage)));
    }
    const bool full = point.voltage > limit_share * voltage_limit ||
                      (plan.meter != MeterPlace::across_part &&
                       point.supply_voltage > limit_share * voltage_limit);
    if (full || point.read_current < point.set_current - allowed) {
        const bool lowered = voltage_limit < plan.voltage_limit;
        return fault(fmt::format(
            "the supply is at its voltage limit, {}{} ({} across the part, {}): the part is "
            "open or reversed, or the limit is too low",
            engineering_short(voltage_limit, Dimension::voltage),
            lowered ? " for the part's largest power" : "", volts(point.voltage),
            amperes(point.read_current)));
    }
    return {};
}

// A meter that tells the driven part's current has to agree with the supply.
Step judge_metered_drive(const SweepPoint& point, const SweepPlan& plan) {
    const double off = point.current - point.set_current;
    if (off <= allowed_off(point.set_current) && off >= -allowed_off(point.set_current)) return {};
    return fault(fmt::format("the meter says {}, and the supply is set to {}: {}",
                             amperes(point.current), amperes(point.set_current),
                             plan.meter == MeterPlace::across_shunt
                                 ? "is the resistor that it is across the stated one"
                                 : "is it in series with the part"));
}

Step judge_feed(const SweepPoint& point, const FeedPlan& feed) {
    if (point.feed_voltage > feed.voltage * (1 + voltage_share) + voltage_error) {
        return fault(fmt::format("the second supply measures {}, more than it was set to",
                                 volts(point.feed_voltage)));
    }
    if (point.feed_voltage < feed.voltage * limit_share - voltage_error) {
        return fault(fmt::format(
            "the second supply is at its current limit, {} ({} of {} V are left): drive the part "
            "less, or the fed part is shorted",
            engineering_short(feed.current_limit, Dimension::current), volts(point.feed_voltage),
            feed.voltage));
    }
    if (point.received_voltage < -voltage_error) {
        return fault(fmt::format("{} across the stated resistor, more than the second supply gives",
                                 volts(point.meter)));
    }
    if (point.received > feed.current_limit + allowed_off(feed.current_limit)) {
        return fault(fmt::format("the meter says {}, more than the second supply may give",
                                 amperes(point.received)));
    }
    // The meter's own offset: a share of what the supply could give.
    if (point.received < -current_share * feed.current_limit) {
        return fault(fmt::format("the meter says {}: its leads, or the fed part's, are exchanged",
                                 amperes(point.received)));
    }
    return {};
}

}  // namespace

Step judge(const SweepPoint& point, const SweepPlan& plan, double voltage_limit) {
    if (auto good = judge_drive(point, plan, voltage_limit); !good) return good;
    if (plan.feed) return judge_feed(point, *plan.feed);
    if (meters_current(plan.meter)) return judge_metered_drive(point, plan);
    return {};
}

}  // namespace gapwright
