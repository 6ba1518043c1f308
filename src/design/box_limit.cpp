#include "design/box_limit.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <vector>
#include "circuit/index.hpp"
#include "circuit/ranged.hpp"
#include "design/bounds.hpp"
#include "design/choice_tree.hpp"
#include "design/value_problem.hpp"
#include "device/interval.hpp"
#include "population/specimen.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// Of the values inside, the one that leaves most.
double kindest(const Bound& bound, const Interval& measured) {
    if (bound.sense == Sense::at_least) {
        const bool other_way = bound.magnitude && -measured.lower() > measured.upper();
        return other_way ? measured.lower() : measured.upper();
    }
    if (!bound.magnitude) return measured.lower();
    if (measured.contains(0)) return 0;
    return measured.lower() > 0 ? measured.lower() : measured.upper();
}

}  // namespace

BoxLimits::BoxLimits(const ValueProblem& problem, const std::vector<ChoiceTree>& trees)
    : problem_(problem), trees_(trees) {
    std::map<std::size_t, std::size_t> by_level;
    for (const auto& bound : problem.bounds().bounds) {
        if (bound.timed) continue;  // what is proven without it holds with it
        if (bound.level) {
            const auto [at, is_new] = by_level.try_emplace(*bound.level, limits_.size());
            if (!is_new) {
                limits_[at->second].either.push_back(&bound);
                continue;
            }
        }
        limits_.push_back({.measure = bound.measure, .either = {&bound}});
    }
    for (const auto part : problem.parts()) {
        on_input_.push_back(problem.circuit().of(part, Side::input).has_value());
    }
}

Powers BoxLimits::of_box(const BoxNodes& box) const {
    Powers result{};
    for (std::size_t k = 0; k < trees_.size(); ++k) result[k] = trees_[k].node(box[k]).power;
    return result;
}

Powers BoxLimits::of_set(const ValueSet& set) const {
    Powers result{};
    for (std::size_t k = 0; k < trees_.size(); ++k) {
        result[k] = problem_.choice(set, k).power.value_or(infinity);
    }
    return result;
}

double BoxLimits::most(const BoxLimit& limit, const Interval& measured, double temperature,
                       const Powers& powers) const {
    double most = -infinity;
    for (const Bound* bound : limit.either) {
        const double rated = bound->chosen ? powers[*bound->chosen] : bound->value;
        if (rated == infinity) return infinity;
        const double reserve = bound->reserve(kindest(*bound, measured), temperature, rated);
        if (!std::isnan(reserve)) most = std::max(most, reserve);
    }
    return most;
}

std::optional<double> BoxLimits::over(const BoxNodes& box, std::size_t limit,
                                      const Scenario& scenario, std::size_t number,
                                      std::optional<std::size_t> alone) {
    std::vector<SlotRange> ranges;
    for (std::size_t k = 0; k < trees_.size(); ++k) {
        Ends range = trees_[k].node(box[k]).at_share(scenario.share[k]);
        if (alone && k != *alone) {
            range.lowest = range.highest = std::sqrt(range.lowest * range.highest);
        }
        ranges.push_back({problem_.slot(k), range.lowest, range.highest});
    }
    const auto measured = enclosure(limits_[limit].measure, scenario, number).over(ranges);
    if (!measured) return std::nullopt;
    return most(limits_[limit], measured->front(), scenario.conditions.temperature, of_box(box));
}

bool BoxLimits::matters(std::size_t k, const BoxLimit& limit) const {
    return on_input_[k] || problem_.bounds().measures[limit.measure].probe.side == Side::output;
}

const Enclosure& BoxLimits::enclosure(std::size_t measure, const Scenario& scenario,
                                      std::size_t number) {
    const std::lock_guard lock(mutex_);
    auto& there = prepared_[{number, measure}];
    if (!there) {
        const Specimen specimen = problem_.specimen_of(scenario);
        there = std::make_unique<const Enclosure>(
            problem_.circuit().circuit, specimen.values, specimen.conditions,
            std::span(&problem_.bounds().measures[measure], 1));
    }
    return *there;
}

}  // namespace gapwright
