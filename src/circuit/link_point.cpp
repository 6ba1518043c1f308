#include "circuit/link_point.hpp"

#include <algorithm>
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
GapLight gap_light(const Circuit& circuit, std::span<const double> values,
                   const Conditions& conditions, std::span<const double> emitter_currents,
                   std::span<const double> ageing_currents) {
    const auto value = [&](Slot slot) { return values[to_index(slot)]; };
    const ConditionsOf<double> around{conditions.temperature, conditions.light, conditions.time_on};
    GapLight light;
    for (std::size_t g = 0; g < circuit.gaps.size(); ++g) {
        light.push_back(
            light_at(circuit.gaps[g], value, around, emitter_currents[g], ageing_currents[g]));
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
    std::vector<double> ageing_currents(circuit.gaps.size(), 0.0);
    const auto emitter_current = [&](const StatePoint& point, std::size_t gap) {
        return point.input.currents[to_index(circuit.gaps[gap].emitter)];
    };
    for (std::size_t s = 0; s < points.size(); ++s) {
        auto input = operating_point(circuit.states[s].input, Side::input, values, conditions, {},
                                     start ? &(*start)[s].input : nullptr);
        if (!input) return failed(s, input.error());
        points[s].input = std::move(*input);
        for (std::size_t g = 0; g < ageing_currents.size(); ++g) {
            ageing_currents[g] = std::max(ageing_currents[g], emitter_current(points[s], g));
        }
    }
    for (std::size_t s = 0; s < points.size(); ++s) {
        std::vector<double> emitter_currents;
        for (std::size_t g = 0; g < circuit.gaps.size(); ++g) {
            emitter_currents.push_back(emitter_current(points[s], g));
        }
        points[s].light = gap_light(circuit, values, conditions, emitter_currents, ageing_currents);
        auto output = operating_point(circuit.states[s].output, Side::output, values, conditions,
                                      points[s].light, start ? &(*start)[s].output : nullptr);
        if (!output) return failed(s, output.error());
        points[s].output = std::move(*output);
    }
    return points;
}

}  // namespace gapwright
