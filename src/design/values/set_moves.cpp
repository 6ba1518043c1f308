#include "design/values/set_moves.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <set>
#include <utility>
#include <vector>

#include "design/values/value_problem.hpp"

namespace gapwright {
namespace {

double ohms(const ValueProblem& problem, std::uint32_t choice) {
    return problem.stock().choices[choice].value.nominal;
}

// Where the value nearest to `wanted` stands among a resistor's choices; of alike ones that of the
// fewest parts.
std::size_t nearest(const ValueProblem& problem, const std::vector<std::uint32_t>& choices,
                    double wanted) {
    const auto at = std::ranges::lower_bound(choices, wanted, {},
                                             [&](std::uint32_t c) { return ohms(problem, c); });
    auto position = static_cast<std::size_t>(at - choices.begin());
    const auto value = [&](std::size_t k) { return ohms(problem, choices[k]); };
    if (position == choices.size()) return position - 1;
    if (position > 0 && wanted / value(position - 1) < value(position) / wanted) {
        --position;
        while (position > 0 && value(position - 1) == value(position)) --position;
    }
    return position;
}

std::size_t position_of(const std::vector<std::uint32_t>& choices, std::uint32_t choice) {
    return static_cast<std::size_t>(std::ranges::lower_bound(choices, choice) - choices.begin());
}

}  // namespace

Offer offer_of(const ValueProblem& problem, std::size_t most_parts) {
    Offer offer;
    for (std::size_t r = 0; r < problem.count(); ++r) {
        std::vector<std::uint32_t> fitting;
        for (const auto c : problem.options(r)) {
            if (problem.stock().choices[c].count <= most_parts) fitting.push_back(c);
        }
        offer.all += fitting.size();
        offer.sets *= static_cast<double>(fitting.size());
        offer.choices.push_back(std::move(fitting));
    }
    return offer;
}

bool is_offered(const ValueProblem& problem, const Offer& offer, const ValueSet& set) {
    for (std::size_t r = 0; r < problem.count(); ++r) {
        if (!std::ranges::binary_search(offer.choices[r], set[r])) return false;
    }
    return problem.in_stock(set);
}

std::vector<ValueSet> in_stock(const ValueProblem& problem, std::vector<ValueSet> sets) {
    std::erase_if(sets, [&](const ValueSet& set) { return !problem.in_stock(set); });
    return sets;
}

std::vector<ValueSet> grid_of(const ValueProblem& problem, const Offer& offer,
                              std::size_t about_so_many) {
    const double each =
        std::pow(static_cast<double>(about_so_many), 1.0 / static_cast<double>(problem.count()));
    const auto points = static_cast<std::size_t>(std::clamp(each, 2.0, 60.0));
    std::vector<ValueSet> sets = {ValueSet{}};
    for (std::size_t r = 0; r < problem.count(); ++r) {
        const auto& choices = offer.choices[r];
        std::set<std::uint32_t> values;
        const double low = std::log(ohms(problem, choices.front()));
        const double high = std::log(ohms(problem, choices.back()));
        for (std::size_t k = 0; k < points; ++k) {
            const double share = static_cast<double>(k) / static_cast<double>(points - 1);
            values.insert(
                choices[nearest(problem, choices, std::exp(std::lerp(low, high, share)))]);
        }
        std::vector<ValueSet> more;
        for (const auto& set : sets) {
            for (const auto c : values) {
                more.push_back(set);
                more.back()[r] = c;
            }
        }
        sets = std::move(more);
    }
    return in_stock(problem, std::move(sets));
}

std::vector<ValueSet> around(const ValueProblem& problem, const Offer& offer,
                             const ValueSet& centre, double step) {
    struct Move {
        ValueSet set;
        std::size_t moved;  // resistors
    };
    const std::size_t most_moved = problem.count() > 3 ? 2 : problem.count();
    std::vector<Move> moves = {{centre, 0}};
    for (std::size_t r = 0; r < problem.count(); ++r) {
        const auto& choices = offer.choices[r];
        const std::size_t here = position_of(choices, centre[r]);
        const double value = ohms(problem, choices[here]);
        std::vector<Move> more = moves;
        for (const double wanted : {value / step, value * step}) {
            const std::size_t there = nearest(problem, choices, wanted);
            if (there == here) continue;
            for (const auto& move : moves) {
                if (move.moved == most_moved) continue;
                more.push_back({move.set, move.moved + 1});
                more.back().set[r] = choices[there];
            }
        }
        moves = std::move(more);
    }
    std::vector<ValueSet> sets;
    for (const auto& move : moves) sets.push_back(move.set);
    return in_stock(problem, std::move(sets));
}

std::vector<ValueSet> window(const Offer& offer, const ValueSet& centre, std::size_t r,
                             std::ptrdiff_t reach) {
    const auto& choices = offer.choices[r];
    std::vector<ValueSet> sets;
    const auto here = static_cast<std::ptrdiff_t>(position_of(choices, centre[r]));
    const auto last = static_cast<std::ptrdiff_t>(choices.size()) - 1;
    for (auto k = std::max<std::ptrdiff_t>(0, here - reach); k <= std::min(last, here + reach);
         ++k) {
        sets.push_back(centre);
        sets.back()[r] = choices[static_cast<std::size_t>(k)];
    }
    return sets;
}

std::vector<ValueSet> window(const Offer& offer, const ValueSet& centre, std::size_t r,
                             std::size_t other, std::ptrdiff_t reach) {
    std::vector<ValueSet> sets;
    for (const auto& set : window(offer, centre, r, reach)) {
        const auto more = window(offer, set, other, reach);
        sets.insert(sets.end(), more.begin(), more.end());
    }
    return sets;
}

std::vector<ValueSet> fewer_parts(const ValueProblem& problem, const Offer& offer,
                                  const ValueSet& centre, std::size_t r) {
    std::vector<ValueSet> sets;
    if (problem.choice(centre, r).count == 1) return sets;
    for (const auto c : offer.choices[r]) {
        if (problem.stock().choices[c].count > 1) continue;
        sets.push_back(centre);
        sets.back()[r] = c;
    }
    return in_stock(problem, std::move(sets));
}

}  // namespace gapwright
