#include "proof/influence.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <numeric>
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

class Influences {
  public:
    Influences(const LinkCircuit& circuit, const ConditionRanges& ranges)
        : circuit_(circuit), ranges_(ranges), middle_(nominal_specimen(circuit, ranges)) {
        const auto middle = [](const Spread& s) { return 0.5 * (s.lowest + s.highest); };
        middle_.conditions.age = middle(ranges.age);
        for (const auto& range : figure_ranges(circuit, ranges)) figures_.push_back(range.figure);
    }

    std::vector<std::vector<Influence>> of(const std::vector<Influenced>& quantities) const {
        const auto points = solve_link(circuit_.circuit, middle_.values, middle_.conditions);
        std::vector<std::vector<Influence>> result(quantities.size());
        if (!points) return result;
        std::vector<Measure> measures;
        for (const auto& q : quantities) measures.push_back(q.measure);
        const auto slopes = sensitivities(circuit_.circuit, middle_.values, middle_.conditions,
                                          *points, measures, figures_);
        for (std::size_t q = 0; q < quantities.size(); ++q) {
            result[q] = ranked(slopes[q], quantities[q]);
        }
        return result;
    }

  private:
    bool is_parameter(std::size_t figure) const { return figure < circuit_.parameters.size(); }

    std::string name_of(std::size_t figure) const {
        const std::size_t slots = circuit_.parameters.size();
        if (is_parameter(figure)) return circuit_.name_of(static_cast<Slot>(figure));
        return figure == slots ? "temperature" : figure == slots + 1 ? "light" : "age";
    }

    double deviation(std::size_t figure) const {
        const std::size_t slots = circuit_.parameters.size();
        if (is_parameter(figure)) {
            const Parameter& p = circuit_.parameters[figure];
            return deviation_of(p.spread, p.law());
        }
        const Spread& s = figure == slots       ? ranges_.temperature
                          : figure == slots + 1 ? ranges_.light
                                                : ranges_.age;
        return deviation_of(s, SpreadLaw::uniform);
    }

    std::vector<Influence> ranked(const std::vector<double>& slopes,
                                  const Influenced& quantity) const {
        std::vector<double> variances;
        for (std::size_t f = 0; f < figures_.size(); ++f) {
            const double moved = slopes[f] * deviation(figures_[f]);
            variances.push_back(std::isfinite(moved) ? moved * moved : 0.0);
        }
        const double sum = std::accumulate(variances.begin(), variances.end(), 0.0);
        std::vector<std::size_t> order(figures_.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::ranges::stable_sort(order, std::ranges::greater{},
                                 [&](std::size_t f) { return variances[f]; });
        std::vector<Influence> result;
        for (const std::size_t f : order) {
            if (!(variances[f] >= least_share * sum) || sum == 0 || result.size() == most) break;
            const bool parameter = is_parameter(figures_[f]);
            result.push_back({.figure = parameter
                                            ? std::optional(circuit_.parameters[figures_[f]].id)
                                            : std::nullopt,
                              .name = name_of(figures_[f]),
                              .share = variances[f] / sum});
            if (parameter) improve(figures_[f], quantity, result.back());
        }
        return result;
    }

    // Solves the worst case with one figure of a better grade.
    void improve(std::size_t figure, const Influenced& quantity, Influence& influence) const {
        const Parameter& parameter = circuit_.parameters[figure];
        const Grade grade = better_grade(parameter);
        Specimen specimen = quantity.worst;
        const double nominal = parameter.spread.nominal;
        specimen.values[figure] = nominal + (specimen.values[figure] - nominal) * grade.factor;
        const auto points = solve_link(circuit_.circuit, specimen.values, specimen.conditions);
        if (!points) return;
        influence.grade = grade.name;
        influence.worst =
            measure(quantity.measure.probe, (*points)[to_index(quantity.measure.state)]);
    }

    const LinkCircuit& circuit_;
    const ConditionRanges& ranges_;
    Specimen middle_;
    std::vector<std::size_t> figures_;
};

}  // namespace

std::vector<std::vector<Influence>> influences(const LinkCircuit& circuit,
                                               const ConditionRanges& ranges,
                                               const std::vector<Influenced>& quantities) {
    return Influences(circuit, ranges).of(quantities);
}

}  // namespace gapwright
