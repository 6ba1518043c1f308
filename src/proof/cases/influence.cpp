#include "proof/cases/influence.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "card/key.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "circuit/sensitivity.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double least_share = 0.01;
constexpr std::size_t most = 5;

// A better grade: how it is called, and by what its limits shrink.
struct Grade {
    std::string name;
    double factor = 1;
};

// Resistors are sold to 1 % and 0.1 % (common practice); of other figures half the spread.
Grade better_grade(const Parameter& parameter) {
    const Spread& s = parameter.spread;
    const double up = (s.highest - s.nominal) / std::abs(s.nominal);
    const double down = (s.nominal - s.lowest) / std::abs(s.nominal);
    const bool resistor = parameter.dimension == Dimension::resistance &&
                          parameter.id.key == Key::value && std::abs(up - down) < 1e-9;
    for (const double tolerance : {0.01, 0.001}) {
        if (resistor && up > tolerance * (1 + 1e-9)) {
            return {fmt::format("± {}", percent(tolerance)), tolerance / up};
        }
    }
    return {"half its spread", 0.5};
}

double deviation_of(const Spread& spread, SpreadLaw law) {
    const double width = spread.highest - spread.lowest;
    switch (law) {
        case SpreadLaw::normal:
            return width / 6;
        case SpreadLaw::logarithmic: {
            const double decades = std::log(spread.highest / spread.lowest);
            const double mean = width / decades;
            return std::sqrt(0.5 * mean * (spread.highest + spread.lowest) - mean * mean);
        }
        case SpreadLaw::uniform:
            break;
    }
    return width / std::sqrt(12.0);
}

// Where derivatives are taken: the middle of every range, half-way through the service life.
Specimen middle_specimen(const LinkCircuit& circuit, const ConditionRanges& ranges) {
    Specimen middle = nominal_specimen(circuit, ranges);
    middle.conditions.age = 0.5 * (ranges.age.lowest + ranges.age.highest);
    return middle;
}

// A figure is a row among a specimen's numbers: its parameters, temperature, light, age.
std::string name_of(const LinkCircuit& circuit, std::size_t figure) {
    const std::size_t slots = circuit.parameters.size();
    if (figure < slots) return circuit.name_of(static_cast<Slot>(figure));
    return figure == slots ? "temperature" : figure == slots + 1 ? "light" : "age";
}

double deviation(const LinkCircuit& circuit, const ConditionRanges& ranges, std::size_t figure) {
    const std::size_t slots = circuit.parameters.size();
    if (figure < slots) {
        const Parameter& p = circuit.parameters[figure];
        return deviation_of(p.spread, p.law());
    }
    const Spread& s = figure == slots       ? ranges.temperature
                      : figure == slots + 1 ? ranges.light
                                            : ranges.age;
    return deviation_of(s, SpreadLaw::uniform);
}

struct Share {
    std::size_t figure;
    double share;  // of the variance
};

// What makes most of the variance, the largest first, by each figure's derivative.
std::vector<Share> largest_shares(const LinkCircuit& circuit, const ConditionRanges& ranges,
                                  const std::vector<std::size_t>& figures,
                                  const std::vector<double>& slopes) {
    std::vector<Share> shares;
    double sum = 0;
    for (std::size_t f = 0; f < figures.size(); ++f) {
        const double moved = slopes[f] * deviation(circuit, ranges, figures[f]);
        const double variance = std::isfinite(moved) ? moved * moved : 0.0;
        shares.push_back({figures[f], variance});
        sum += variance;
    }
    if (sum == 0) return {};
    std::ranges::stable_sort(shares, std::ranges::greater{}, &Share::share);
    std::erase_if(shares, [&](const Share& s) { return !(s.share >= least_share * sum); });
    if (shares.size() > most) shares.resize(most);
    for (auto& share : shares) share.share /= sum;
    return shares;
}

// The worst case solved with one parameter of a better grade.
Influence with_better_grade(Influence influence, const LinkCircuit& circuit, std::size_t figure,
                            const Influenced& quantity) {
    const Parameter& parameter = circuit.parameters[figure];
    const Grade grade = better_grade(parameter);
    Specimen specimen = quantity.worst;
    const double nominal = parameter.spread.nominal;
    specimen.values[figure] = nominal + (specimen.values[figure] - nominal) * grade.factor;
    const auto points = solve_link(circuit.circuit, specimen.values, specimen.conditions);
    if (!points) return influence;
    influence.grade = grade.name;
    influence.worst = measure(quantity.measure.probe, (*points)[to_index(quantity.measure.state)]);
    return influence;
}

}  // namespace

std::vector<std::vector<Influence>> influences(const LinkCircuit& circuit,
                                               const ConditionRanges& ranges,
                                               const std::vector<Influenced>& quantities) {
    std::vector<std::vector<Influence>> result(quantities.size());
    const Specimen middle = middle_specimen(circuit, ranges);
    const auto points = solve_link(circuit.circuit, middle.values, middle.conditions);
    if (!points) return result;
    std::vector<std::size_t> figures;
    for (const auto& range : figure_ranges(circuit, ranges)) figures.push_back(range.figure);
    std::vector<Measure> measures;
    for (const auto& q : quantities) measures.push_back(q.measure);
    const auto slopes = sensitivities(circuit.circuit, middle.values, middle.conditions, *points,
                                      measures, figures);
    for (std::size_t q = 0; q < quantities.size(); ++q) {
        for (const auto& [figure, share] : largest_shares(circuit, ranges, figures, slopes[q])) {
            const bool parameter = figure < circuit.parameters.size();
            const Influence one{
                .figure = parameter ? std::optional(circuit.parameters[figure].id) : std::nullopt,
                .name = name_of(circuit, figure),
                .share = share};
            result[q].push_back(parameter ? with_better_grade(one, circuit, figure, quantities[q])
                                          : one);
        }
    }
    return result;
}

}  // namespace gapwright
