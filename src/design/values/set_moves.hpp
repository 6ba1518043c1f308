// Sets of values among the choices that a search looks at: from a grid, and near another set.
// Internal to the layer.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "design/values/value_problem.hpp"

namespace gapwright {

// What a search looks at.
struct Offer {
    std::vector<std::vector<std::uint32_t>> choices;  // by resistor, ascending by value
    std::size_t all = 0;                              // choices of all resistors together
    double sets = 1;                                  // combinations, stock counts aside
};

// Choices of up to so many parts.
Offer offer_of(const ValueProblem& problem, std::size_t most_parts);

bool is_offered(const ValueProblem& problem, const Offer& offer, const ValueSet& set);

// Those that the stock can make.
std::vector<ValueSet> in_stock(const ValueProblem& problem, std::vector<ValueSet> sets);

// About so many sets, spread evenly over the logarithms of the values.
std::vector<ValueSet> grid_of(const ValueProblem& problem, const Offer& offer,
                              std::size_t about_so_many);

// Every resistor one step up, down, or not at all, in all combinations (of many resistors two at a
// time); `step` is a ratio.
std::vector<ValueSet> around(const ValueProblem& problem, const Offer& offer,
                             const ValueSet& centre, double step);

// The choices on either side of what resistor `r` has, up to so many, in the order of the stock;
// the stock need not be able to make them.
std::vector<ValueSet> window(const Offer& offer, const ValueSet& centre, std::size_t r,
                             std::ptrdiff_t reach);

// The same of two resistors in all combinations.
std::vector<ValueSet> window(const Offer& offer, const ValueSet& centre, std::size_t r,
                             std::size_t other, std::ptrdiff_t reach);

// Every choice of one part in place of what resistor `r` is made of.
std::vector<ValueSet> fewer_parts(const ValueProblem& problem, const Offer& offer,
                                  const ValueSet& centre, std::size_t r);

}  // namespace gapwright
