#include "circuit/link_point.hpp"

#include <cstddef>
#include <expected>
#include <span>
#include <utility>
#include <vector>

#include "circuit/gap_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"

namespace gapwright {
namespace {

ConditionsOf<double> around_of(const Conditions& conditions) {
    return {conditions.temperature, conditions.light, conditions.age};
}

double emitter_current(const StatePoint& point, const Gap& gap) {
    return point.input.currents[to_index(gap.emitter)];
}

}  // namespace

std::vector<double> emitter_currents(const Circuit& circuit, const StatePoint& point) {
    std::vector<double> currents;
    for (const Gap& gap : circuit.gaps) currents.push_back(emitter_current(point, gap));
    return currents;
}

std::vector<double> light_left_by_gap(const Circuit& circuit, std::span<const double> values,
                                      const Conditions& conditions,
                                      const std::vector<StatePoint>& points) {
    const auto value = [&](Slot slot) { return values[to_index(slot)]; };
    std::vector<double> left;
    for (const Gap& gap : circuit.gaps) {
        const auto current = [&](std::size_t s) { return emitter_current(points[s], gap); };
        left.push_back(
            life_at(gap, value, around_of(conditions), circuit.shares, points.size(), current));
    }
    return left;
}

GapLight gap_light(const Circuit& circuit, std::span<const double> values,
                   const Conditions& conditions, std::span<const double> currents,
                   std::span<const double> left) {
    const auto value = [&](Slot slot) { return values[to_index(slot)]; };
    GapLight light;
    for (std::size_t g = 0; g < circuit.gaps.size(); ++g) {
        light.push_back(
            light_of_life(circuit.gaps[g], value, around_of(conditions), currents[g], left[g]));
    }
    return light;
}

std::expected<std::vector<StatePoint>, LinkNotSettled> solve_link(
    const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
    const std::vector<StatePoint>* start) {
    const auto failed = [](std::size_t state, const NotSettled& where) {
        return std::unexpected(LinkNotSettled{static_cast<StateIndex>(state), where});
    };
    std::vector<StatePoint> points(circuit.states.size());
    for (std::size_t s = 0; s < points.size(); ++s) {
        auto input = operating_point(circuit.states[s].input, Side::input, values, conditions, {},
                                     start ? &(*start)[s].input : nullptr);
        if (!input) return failed(s, input.error());
        points[s].input = std::move(*input);
    }
    const auto left = light_left_by_gap(circuit, values, conditions, points);
    for (std::size_t s = 0; s < points.size(); ++s) {
        points[s].light =
            gap_light(circuit, values, conditions, emitter_currents(circuit, points[s]), left);
        auto output = operating_point(circuit.states[s].output, Side::output, values, conditions,
                                      points[s].light, start ? &(*start)[s].output : nullptr);
        if (!output) return failed(s, output.error());
        points[s].output = std::move(*output);
    }
    return points;
}

}  // namespace gapwright
