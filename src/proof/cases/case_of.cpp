#include "proof/cases/case_of.hpp"

#include <algorithm>
#include <cstddef>
#include <functional>
#include <string>
#include <utility>
#include <vector>
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/cases/case.hpp"
#include "proof/proof.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/worst_case.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

CaseFigure figure_of(const LinkCircuit& circuit, const Coordinate& c, const Specimen& specimen) {
    CaseFigure figure{.kind = c.kind, .name = figure_name(circuit, c), .nominal = c.range.nominal};
    switch (c.kind) {
        case Coordinate::Kind::parameter:
            figure.value = specimen.values[to_index(c.slot)];
            figure.figure = circuit.parameters[to_index(c.slot)].id;
            figure.dimension = circuit.parameters[to_index(c.slot)].dimension;
            break;
        case Coordinate::Kind::temperature:
            figure.value = specimen.conditions.temperature;
            figure.dimension = Dimension::temperature;
            break;
        case Coordinate::Kind::light:
            figure.value = specimen.conditions.light;
            figure.dimension = Dimension::illuminance;
            break;
        case Coordinate::Kind::age:
            figure.value = specimen.conditions.age;
            figure.dimension = Dimension::time;
            break;
    }
    return figure;
}

// Figures whose effect is below this share of the largest are not part of a case: they are where
// the search happened to leave them.
constexpr double least_effect = 1e-6;

}  // namespace

std::string figure_name(const LinkCircuit& circuit, const Coordinate& coordinate) {
    switch (coordinate.kind) {
        case Coordinate::Kind::parameter:
            return circuit.name_of(coordinate.slot);
        case Coordinate::Kind::temperature:
            return "temperature";
        case Coordinate::Kind::light:
            return "light";
        case Coordinate::Kind::age:
            break;
    }
    return "age";
}

Case case_of(const LinkCircuit& circuit, const WorstCases& worst, std::size_t target) {
    const Extreme& extreme = worst.extremes[target];
    if (extreme.effects.empty()) return {};
    const double largest = std::ranges::max(extreme.effects);
    Case parameters;
    Case conditions;
    for (std::size_t k = 0; k < worst.coordinates.size(); ++k) {
        if (extreme.effects[k] <= least_effect * largest) continue;
        CaseFigure figure = figure_of(circuit, worst.coordinates[k], extreme.specimen);
        figure.effect = extreme.effects[k];
        const bool is_parameter = worst.coordinates[k].kind == Coordinate::Kind::parameter;
        (is_parameter ? parameters : conditions).push_back(std::move(figure));
    }
    std::ranges::stable_sort(parameters, std::ranges::greater{}, &CaseFigure::effect);
    parameters.insert(parameters.end(), conditions.begin(), conditions.end());
    return parameters;
}

std::vector<Level> levels_of(const Link& link, const LinkCircuit& circuit,
                             const std::vector<StatePoint>& nominal) {
    std::vector<Level> levels;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        const auto* low = part.description.find(Key::low_below);
        const auto* high = part.description.find(Key::high_above);
        if (!low || !high) continue;
        const Side side = part.input ? Side::input : Side::output;
        Level level{part.name, {}};
        for (std::size_t s = 0; s < nominal.size(); ++s) {
            const double v = measure(circuit.of(k, side)->voltage(), nominal[s]);
            level.by_state.emplace_back(link.states[s].name, v <= low->spread.nominal ? "low"
                                                             : v >= high->spread.nominal
                                                                 ? "high"
                                                                 : "between");
        }
        levels.push_back(std::move(level));
    }
    return levels;
}

}  // namespace gapwright
