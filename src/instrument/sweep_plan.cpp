#include "instrument/sweep_plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/extra_low_voltage.hpp"

namespace gapwright {
namespace {

constexpr double smallest_current = 1e-6;  // A: the last decimal of what is sent
constexpr double smallest_voltage = 0.1;   // V
constexpr std::size_t most_points = 1000;
constexpr double longest_time = 24 * 3600.;  // s

std::string amperes(double value) {
    return engineering_short(value, Dimension::current);
}
std::string volts(double value) {
    return engineering_short(value, Dimension::voltage);
}

std::string ohms(double value) {
    return engineering_short(value, Dimension::resistance);
}

constexpr double smallest_shunt = 1e-3;  // Ω
constexpr double largest_shunt = 1e6;    // Ω

bool positive(double value) {
    return std::isfinite(value) && value > 0;
}

void find_unfit_feed(const FeedPlan& feed, std::vector<std::string>& found) {
    const auto need = [&](bool good, std::string message) {
        if (!good) found.push_back(std::move(message));
    };
    need(positive(feed.largest_current) && positive(feed.largest_voltage) &&
             positive(feed.largest_power),
         "the fed part's largest current, voltage and power must be known");
    need(std::isfinite(feed.voltage) && feed.voltage >= smallest_voltage,
         fmt::format("the second supply's voltage must be at least {}", volts(smallest_voltage)));
    need(!(feed.voltage > extra_low_voltage),
         fmt::format("the second supply's {} are above extra-low voltage, {} d.c.",
                     volts(feed.voltage), volts(extra_low_voltage)));
    need(!(feed.voltage > feed.largest_voltage),
         fmt::format("the second supply's {} are above the fed part's largest voltage, {}",
                     volts(feed.voltage), volts(feed.largest_voltage)));
    need(std::isfinite(feed.current_limit) && feed.current_limit >= smallest_current,
         fmt::format("the second supply's current limit must be at least {}",
                     amperes(smallest_current)));
    need(!(feed.current_limit > feed.largest_current),
         fmt::format("the second supply's limit of {} is above the fed part's largest current, {}",
                     amperes(feed.current_limit), amperes(feed.largest_current)));
    need(!(feed.voltage * feed.current_limit > feed.largest_power),
         fmt::format("the second supply's {} at {} are above the fed part's largest power, {}",
                     volts(feed.voltage), amperes(feed.current_limit),
                     engineering_short(feed.largest_power, Dimension::power)));
}

}  // namespace

double voltage_limit_at(const SweepPlan& plan, double current) {
    // Rounded down to 1 mV, so that the digits sent do not say more than is allowed.
    return std::min(plan.voltage_limit, std::floor(plan.largest_power / current * 1e3) / 1e3);
}

std::vector<std::string> find_unfit(const SweepPlan& plan) {
    std::vector<std::string> found;
    const auto need = [&](bool good, std::string message) {
        if (!good) found.push_back(std::move(message));
    };
    const auto time = [](double value) { return value >= 0 && value <= longest_time; };
    need(positive(plan.largest_current) && positive(plan.largest_voltage) &&
             positive(plan.largest_power),
         "the part's largest current, voltage and power must be known");
    need(std::isfinite(plan.voltage_limit) && plan.voltage_limit >= smallest_voltage,
         fmt::format("the voltage limit must be at least {}", volts(smallest_voltage)));
    need(!(plan.voltage_limit > extra_low_voltage),
         fmt::format("a voltage limit of {} is above extra-low voltage, {} d.c.",
                     volts(plan.voltage_limit), volts(extra_low_voltage)));
    need(!(plan.voltage_limit > plan.largest_voltage),
         fmt::format("a voltage limit of {} is above the part's largest voltage, {}",
                     volts(plan.voltage_limit), volts(plan.largest_voltage)));
    need(!plan.currents.empty() && plan.currents.size() <= most_points,
         fmt::format("a sweep has 1 to {} currents", most_points));
    need(std::ranges::all_of(plan.currents,
                             [&](double i) { return std::isfinite(i) && i >= smallest_current; }),
         fmt::format("each current must be at least {}", amperes(smallest_current)));
    need(std::ranges::adjacent_find(plan.currents, std::greater_equal()) == plan.currents.end(),
         "the currents must rise from the first to the last");
    const auto above =
        std::ranges::find_if(plan.currents, [&](double i) { return i > plan.largest_current; });
    if (above != plan.currents.end()) {
        need(false, fmt::format("{} is above the part's largest current, {}", amperes(*above),
                                amperes(plan.largest_current)));
    }
    need(plan.meter != MeterPlace::across_shunt ||
             (plan.shunt >= smallest_shunt && plan.shunt <= largest_shunt),
         fmt::format("the resistor that the meter is across must be stated, from {} to {}",
                     ohms(smallest_shunt), ohms(largest_shunt)));
    need(plan.shunt_uncertainty >= 0 && plan.shunt_uncertainty < 1,
         "a resistor's uncertainty is a share of it");
    need(!plan.feed || meters_current(plan.meter),
         "with a second supply the meter is across a stated resistor, or in series");
    if (plan.feed) find_unfit_feed(*plan.feed, found);
    need(time(plan.settle) && time(plan.rest) && time(plan.longest) && time(plan.off_longest) &&
             time(plan.off_backoff) && time(plan.patience.connect) && time(plan.patience.answer),
         "a time is none from 0 to 24 h");
    need(plan.most_readings >= 2 && plan.most_readings <= 1000, "a point takes 2 to 1000 readings");
    need(plan.settled_within >= 0 && plan.settled_within <= 1,
         "what counts as settled is a share from 0 to 1");
    if (!found.empty()) return found;
    for (const double current : plan.currents) {
        if (voltage_limit_at(plan, current) < smallest_voltage) {
            need(false,
                 fmt::format("at {} the largest power, {}, leaves less than {}", amperes(current),
                             engineering_short(plan.largest_power, Dimension::power),
                             volts(smallest_voltage)));
            break;
        }
    }
    return found;
}

}  // namespace gapwright
