#include "proof/limits/emitter_hours.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"

namespace gapwright {
namespace {

constexpr double dark_share = 1e-3;  // of an emitter's largest current

// By gap, at the end of the service life at a temperature; empty where the link does not settle.
std::vector<double> left_at(const LinkCircuit& circuit, Specimen specimen, double temperature,
                            double age) {
    specimen.conditions.temperature = temperature;
    specimen.conditions.age = age;
    const auto points = solve_link(circuit.circuit, specimen.values, specimen.conditions);
    if (!points) return {};
    return light_left_by_gap(circuit.circuit, specimen.values, specimen.conditions, *points);
}

std::vector<EmitterInState> states_of(const Link& link, const LinkCircuit& circuit,
                                      const std::vector<StatePoint>& nominal, std::size_t gap) {
    std::vector<EmitterInState> states;
    double most = 0;
    for (std::size_t s = 0; s < link.states.size(); ++s) {
        const State& state = link.states[s];
        const double current = emitter_currents(circuit.circuit, nominal[s])[gap];
        most = std::max(most, current);
        states.push_back(
            {.state = state.name, .share = state.share, .time = {}, .current = current});
        if (state.share) states.back().time = *state.share * link.surroundings.service;
    }
    for (auto& state : states)
        state.dark = state.current < std::max(dark_share * most, dark_emitter);
    return states;
}

}  // namespace

std::vector<EmitterHours> emitter_hours(const Link& link, const LinkCircuit& circuit,
                                        const ConditionRanges& ranges,
                                        const std::vector<StatePoint>& nominal) {
    std::vector<EmitterHours> result;
    if (link.surroundings.service <= 0) return result;
    const Specimen specimen = nominal_specimen(circuit, ranges);
    const auto& gaps = circuit.circuit.gaps;
    const auto left =
        left_at(circuit, specimen, specimen.conditions.temperature, ranges.age.highest);
    const auto hot = left_at(circuit, specimen, ranges.temperature.highest, ranges.age.highest);
    double stated = 0;
    for (const double share : circuit.circuit.shares) stated += share;
    // Gaps are numbered in the order of their parts.
    for (const Part& part : link.parts) {
        if (!part.is_gap()) continue;
        const std::size_t gap = result.size();
        EmitterHours hours{.part = part.name,
                           .states = states_of(link, circuit, nominal, gap),
                           .light_left = {},
                           .light_left_hot = {},
                           .temperature = specimen.conditions.temperature,
                           .hottest = ranges.temperature.highest};
        if (!circuit.circuit.shares.empty()) hours.without_supply = std::max(0.0, 1 - stated);
        if (gaps[gap].life && !left.empty()) hours.light_left = left[gap];
        if (gaps[gap].life && !hot.empty()) hours.light_left_hot = hot[gap];
        result.push_back(std::move(hours));
    }
    return result;
}

}  // namespace gapwright
