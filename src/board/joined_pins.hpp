// Which pins a plan's holes join, right or wrong: by the board's metal, its cuts and the wires.
#pragma once

#include <cstddef>
#include <vector>
#include "board/plan.hpp"

namespace gapwright {

// A number for the conductor that each pin touches, by part and pin of the wiring; two pins are
// joined where theirs are equal. What a builder's hand would do is taken as it comes: on a grid
// board bare wire joins every hole that it lies over, and, where it does not follow the grid, its
// ends alone. Requires that every pin, wire's end and cut is in a hole of the board.
std::vector<std::vector<std::size_t>> joined_pins(const Plan& plan);

}  // namespace gapwright
