#include "proof/limits/assumed_figures.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/cases/case_of.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/worst_case.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_named = 3;
constexpr double worth_naming = 0.1;  // of what the figure that matters most does

// One bound, the coordinates that are assumed and move it, and how points are looked at.
struct Question {
    const LinkCircuit& circuit;
    const ConditionRanges& ranges;
    const Measurer& measurer;
    const BrokenBound& bound;
    Effort effort;
    const EngineOptions& options;
    SearchSpace space;
    std::vector<std::size_t> assumed;
};

std::vector<std::size_t> assumed_coordinates(const SearchSpace& space, const BrokenBound& bound) {
    std::vector<std::size_t> assumed;
    for (std::size_t k = 0; k < space.size(); ++k) {
        if (space.coordinates()[k].assumed && bound.effects[k] > 0) assumed.push_back(k);
    }
    return assumed;
}

std::vector<double> badness_of(const Question& q, const std::vector<Point>& points) {
    const SpecimenSource source{
        .base = q.space.base(),
        .count = points.size(),
        .write = [&](std::size_t k, SpecimenPlace& place) { q.space.write(points[k], 1, place); }};
    const auto measured = q.measurer.run(source, q.options);
    std::vector<double> bad;
    for (std::size_t p = 0; p < points.size(); ++p) {
        bad.push_back(q.bound.target.badness(measured.at(p, q.bound.target.measure),
                                             q.space.temperature_at(points[p])));
    }
    return bad;
}

struct Found {
    bool holds;
    Point at;  // the worst case of what is stated, with the assumed figures as they were set
};

// The worst case with the assumed figures at one point's values.
Found worst_with(const Question& q, const Point& values) {
    LinkCircuit fixed = q.circuit;
    for (const auto k : q.assumed) {
        const Coordinate& c = q.space.coordinates()[k];
        fixed.parameters[to_index(c.slot)].spread = exactly(c.value(values[k]));
    }
    const Target& target = q.bound.target;
    const auto worst =
        find_worst_cases(fixed, q.ranges, q.measurer, {target}, {}, q.options, q.effort);
    const Extreme& extreme = worst.extremes[0];
    const double bad = target.badness(extreme.value, extreme.specimen.conditions.temperature);
    Point at = q.space.point_of(extreme.specimen);
    for (const auto k : q.assumed) at[k] = values[k];
    return {worst.outcome.unsettled == 0 && bad <= q.bound.limit, at};
}

// Each assumed figure where it alone makes a point least bad.
Point best_about(const Question& q, const Point& from) {
    constexpr std::size_t places = 3;
    std::vector<Point> points;
    for (const auto k : q.assumed) {
        for (const double place : std::array<double, places>{0, q.space.nominal()[k], 1}) {
            points.push_back(from);
            points.back()[k] = place;
        }
    }
    const auto bad = badness_of(q, points);
    Point best = from;
    auto first = bad.begin();
    for (const auto k : q.assumed) {
        const auto least = std::min_element(first, first + places);
        best[k] = points[static_cast<std::size_t>(least - bad.begin())][k];
        first += places;
    }
    return best;
}

// Of the assumed figures those that break it, set to what they are in its worst case, where all
// else is as at `good`: the ones that do most first.
std::vector<std::size_t> deciding(const Question& q, const Point& good) {
    std::vector<Point> points = {good};
    for (const auto k : q.assumed) {
        points.push_back(good);
        points.back()[k] = q.bound.worst[k];
    }
    const auto bad = badness_of(q, points);
    struct One {
        std::size_t coordinate;
        double does;
    };
    std::vector<One> ones;
    for (const auto k : q.assumed) ones.push_back({k, bad[ones.size() + 1] - bad[0]});
    std::ranges::stable_sort(ones, std::ranges::greater{}, &One::does);
    std::vector<std::size_t> named;
    for (const auto& one : ones) {
        if (named.size() == most_named) break;
        if (!named.empty() && !(one.does > worth_naming * ones.front().does)) break;
        named.push_back(one.coordinate);
    }
    return named;
}

std::string sentence(const Question& q, const Point& good, const std::vector<std::size_t>& named) {
    std::vector<std::string> names;
    std::vector<std::string> with;
    std::vector<std::string> without;
    for (const auto k : named) {
        const Coordinate& c = q.space.coordinates()[k];
        std::string name = figure_name(q.circuit, c);
        std::ranges::replace_if(name, [](char x) { return x == '.' || x == '_'; }, ' ');
        const Dimension dimension = q.circuit.parameters[to_index(c.slot)].dimension;
        names.push_back(name);
        with.push_back(engineering_short(c.value(good[k]), dimension, 3));
        without.push_back(engineering_short(c.value(q.bound.worst[k]), dimension, 3));
    }
    return fmt::format("state {}: it holds with {}, not with {}, and parts of the kind have either",
                       fmt::join(names, " and "), fmt::join(with, " and "),
                       fmt::join(without, " and "));
}

}  // namespace

std::string settling_figures(const LinkCircuit& circuit, const ConditionRanges& ranges,
                             const Measurer& measurer, const BrokenBound& bound, Effort effort,
                             const EngineOptions& options) {
    const SearchSpace space(circuit, ranges);
    const auto assumed = assumed_coordinates(space, bound);
    if (assumed.empty()) return {};
    const Question q{circuit, ranges, measurer, bound, effort, options, space, assumed};
    auto found = worst_with(q, space.nominal());
    if (!found.holds) {
        const Point others[] = {best_about(q, bound.worst), best_about(q, found.at)};
        for (const auto& values : others) {
            found = worst_with(q, values);
            if (found.holds) break;
        }
    }
    return found.holds ? sentence(q, found.at, deciding(q, found.at)) : std::string();
}

}  // namespace gapwright
