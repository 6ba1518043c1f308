#include "proof/search/asked_bounds.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "proof/search/worst_case.hpp"

namespace gapwright {
namespace {

constexpr std::size_t very_many = 160;

double badness_found(const AskedBound& bound, const std::vector<Target>& targets,
                     const WorstCases& worst) {
    const Extreme& extreme = worst.extremes[bound.target];
    return targets[bound.target].badness(extreme.value, extreme.specimen.conditions.temperature);
}

}  // namespace

bool holds(const AskedBound& bound, const std::vector<Target>& targets, const WorstCases& worst) {
    return badness_found(bound, targets, worst) <= bound.limit;
}

std::vector<AskedBound> nearest_of_each_kin(std::vector<AskedBound> asked,
                                            const std::vector<Target>& targets,
                                            const WorstCases& worst) {
    if (asked.size() <= very_many) return asked;
    const auto beyond = [&](const AskedBound& bound) {
        return (badness_found(bound, targets, worst) - bound.limit) /
               std::max(std::abs(bound.limit), 1e-12);
    };
    std::ranges::stable_sort(asked, [&](const AskedBound& a, const AskedBound& b) {
        const Target& one = targets[a.target];
        const Target& other = targets[b.target];
        if (one.kin != other.kin) return one.kin < other.kin;
        if (one.sense != other.sense) return one.sense < other.sense;
        return beyond(a) > beyond(b);
    });
    const auto others = std::ranges::unique(asked, [&](const AskedBound& a, const AskedBound& b) {
        return targets[a.target].kin == targets[b.target].kin &&
               targets[a.target].sense == targets[b.target].sense;
    });
    asked.erase(others.begin(), others.end());
    return asked;
}

}  // namespace gapwright
