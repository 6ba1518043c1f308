#include "measuring/swept_points.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "instrument/sweep.hpp"
#include "instrument/sweep_point.hpp"
#include "measuring/swept_part.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double saturated_below = 1;  // V, collector to emitter; own choice

// What a point measures, and how it depends on the driven current.
struct SweptQuantity {
    std::string_view column;
    double value = 0;
    double usual = 0;     // standard uncertainty that a fit assumes, share
    double own = 0;       // what the readings' steps leave open, share
    double exponent = 1;  // d ln value / d ln current
};

// By how many per cent the measured quantity changes with one of the current, by the card's model;
// 1 where it gives none: no light grows much faster, no voltage faster.
double exponent_of(const Description& card, Observation o) {
    constexpr double step = 0.05;
    const auto model = part_model(card, {});
    if (!model) return 1;
    double more = 0;
    double less = 0;
    const double current = o.forward_current;
    o.forward_current = current * (1 + step);
    if (!(*model)->predict(o, {}, more, {})) return 1;
    o.forward_current = current * (1 - step);
    if (!(*model)->predict(o, {}, less, {}) || !(more > 0) || !(less > 0)) return 1;
    return std::abs(std::log(more / less) / std::log((1 + step) / (1 - step)));
}

SweptQuantity of_junction(const SweptPart& swept, const SweepPoint& point) {
    const bool reverse = swept.way == SweptWay::reverse;
    SweptQuantity m{.column = reverse ? "reverse_voltage" : "forward_voltage",
                    .value = point.voltage,
                    .usual = meter_voltage_uncertainty,
                    .own = point.voltage_uncertainty / point.voltage};
    if (!reverse && point.current > 0) {
        Observation o{.measured = Measured::forward_voltage};
        o.forward_current = point.current;
        m.exponent = exponent_of(forward_at(swept.part, 10e-3), o);
    }
    return m;
}

SweptQuantity of_receiver(const SweptPart& swept, const SweepPoint& point) {
    if (swept.part.kind == Kind::light_dependent_resistor) {
        return {.column = "resistance",
                .value = point.received_voltage / point.received,
                .usual = meter_current_uncertainty,
                .own = point.received_uncertainty};
    }
    SweptQuantity m{.column = "collector_current",
                    .value = point.received,
                    .usual = meter_current_uncertainty,
                    .own = point.received_uncertainty};
    if (swept.way == SweptWay::transfer && point.current > 0 && point.received_voltage > 0) {
        Observation o{.measured = Measured::collector_current};
        o.forward_current = point.current;
        o.collector_emitter_voltage = point.received_voltage;
        m.exponent = exponent_of(swept.part, o);
    }
    return m;
}

// What the quantity was measured at.
void add_settings(const SweptPart& swept, const SweepPoint& point, MeasuredPoint& into) {
    switch (swept.way) {
        case SweptWay::forward:
            into.values["forward_current"] = point.current;
            return;
        case SweptWay::reverse:
            into.values["reverse_current"] = point.current;
            return;
        case SweptWay::gain:
            into.values["base_current"] = point.current;
            into.values["collector_emitter_voltage"] = point.received_voltage;
            return;
        case SweptWay::transfer:
            into.values["forward_current"] = point.current;
            into.values["collector_emitter_voltage"] = point.received_voltage;
            return;
        case SweptWay::light:
            if (swept.part.kind == Kind::light_dependent_resistor) {
                into.values["illuminance"] = light_at(swept, point.current);
                return;
            }
            into.values["irradiance"] = light_at(swept, point.current);
            into.values["collector_emitter_voltage"] = point.received_voltage;
            return;
    }
}

std::string origin_of(const SweptPart& swept, bool simulated) {
    std::string origin = simulated ? "simulated" : "";
    if (swept.way == SweptWay::light) {
        origin +=
            fmt::format("{}light by the card of {} at {}", simulated ? "; " : "",
                        swept.emitter_name, engineering_short(swept.distance, Dimension::length));
    }
    return origin;
}

std::string amperes(double value) {
    return engineering_short(value, Dimension::current);
}

// What a person needs to know of all points together.
void remark_on_currents(const SweepResult& result, std::size_t vague, std::size_t set,
                        std::vector<std::string>& remarks) {
    const double step = result.steps.supply_current;
    if (result.held_from > 0 && !result.points.empty()) {
        remarks.push_back(fmt::format(
            "the supply cannot be set as finely as the smallest currents ask for: they begin at {}",
            amperes(result.points.front().set_current)));
    }
    if (set > 0 && std::isfinite(step)) {
        remarks.push_back(fmt::format(
            "the supply shows its current in steps of {}, more than a tenth of it in {} point{}: "
            "there the set current counts, with the uncertainty that such steps leave; a meter "
            "across a stated resistor knows it better",
            amperes(step), set, set == 1 ? "" : "s"));
    }
    if (vague > 0 && !std::isfinite(step)) {
        remarks.push_back(fmt::format(
            "the supply shows no current at all: {} point{} left out; a meter across a stated "
            "resistor in series with the part knows it",
            vague, vague == 1 ? " is" : "s are"));
    } else if (vague > 0) {
        remarks.push_back(fmt::format(
            "{} point{} below {} left out, since the supply's steps are as large: --from \"{}\"",
            vague, vague == 1 ? " is" : "s are", amperes(step), amperes(step)));
    }
}

// No fit makes a card of a transistor's points; what they say of its gain is said here.
void remark_on_gain(const std::vector<MeasuredPoint>& points, std::vector<std::string>& remarks) {
    double lowest = 0;
    double highest = 0;
    for (const auto& point : points) {
        const double gain = *point.find("collector_current") / *point.find("base_current");
        lowest = lowest > 0 ? std::min(lowest, gain) : gain;
        highest = std::max(highest, gain);
    }
    if (points.empty()) return;
    remarks.push_back(fmt::format(
        "collector over base current: {:.3g} to {:.3g}; no fit reads such points, write "
        "the gain into the card",
        lowest, highest));
}

}  // namespace

SweptPoints swept_points(const SweptPart& swept, const SweepResult& result,
                         const std::string& specimen, bool simulated) {
    SweptPoints swept_points;
    std::size_t vague = 0;
    std::size_t set = 0;
    std::size_t nothing = 0;
    std::size_t saturated = 0;
    const bool fed = is_fed(swept.way);
    const bool collector = fed && swept.part.kind != Kind::light_dependent_resistor;
    for (const SweepPoint& point : result.points) {
        const SweptQuantity m = fed ? of_receiver(swept, point) : of_junction(swept, point);
        const double own_most = fed ? worst_current_uncertainty : 1;
        if (!(point.current > 0) || !(point.current_uncertainty <= worst_current_uncertainty)) {
            ++vague;
            continue;
        }
        if (!(m.value > 0) || !std::isfinite(m.value) || !(m.own <= own_most) ||
            (fed && !(point.received_voltage > 0))) {
            ++nothing;
            continue;
        }
        MeasuredPoint into;
        add_settings(swept, point, into);
        into.values[std::string(m.column)] = m.value;
        const double by_current = m.exponent * point.current_uncertainty;
        if (point.current_uncertainty > current_uncertainty || m.own > m.usual) {
            const double all = std::hypot(m.usual, m.own, by_current);
            into.uncertainty = std::min(1.0, all);
        }
        into.specimen = specimen;
        into.origin = origin_of(swept, simulated);
        if (point.current_from == CurrentFrom::setting) ++set;
        if (collector && point.received_voltage < saturated_below) ++saturated;
        swept_points.points.push_back(std::move(into));
    }
    auto& remarks = swept_points.remarks;
    remark_on_currents(result, vague, set, remarks);
    if (nothing > 0) {
        remarks.push_back(fmt::format(
            "{} point{} left out: the meter's steps are as large as what it read; a larger "
            "resistor gives it more",
            nothing, nothing == 1 ? " is" : "s are"));
    }
    if (saturated > 0) {
        remarks.push_back(fmt::format(
            "in {} point{} less than {} V are left at the collector: the part is at the end of "
            "what it can pull; a smaller resistor or a higher second voltage leaves it more",
            saturated, saturated == 1 ? "" : "s", saturated_below));
    }
    if (swept.way == SweptWay::gain) remark_on_gain(swept_points.points, remarks);
    if (swept.way == SweptWay::light) {
        remarks.push_back(fmt::format(
            "the light is that of the emitter's card, {}: a card of these points is right for this "
            "emitter at this distance, and may be off by that with another",
            light_uncertainty(swept) > 0 ? fmt::format("which leaves {} (standard) open",
                                                       percent(light_uncertainty(swept), 2))
                                         : "which states no spread"));
    }
    return swept_points;
}

}  // namespace gapwright
