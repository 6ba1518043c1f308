// Answers put into the order in which an experienced hand would take them, and what is true of
// each.
#pragma once

#include <cstddef>
#include <vector>

#include "design/design.hpp"

namespace gapwright {

// Whether `a` is at least as good as `b` in everything that is told of answers (verdict, stretch,
// good practice, parts, current, drawer, packaged gap), on grids that a person would call the same.
bool dominates(const Answer& a, const Answer& b);

// The answers in order (docs/method.md, Design: needs), none of them dominated by another, each
// with the names that are true of it; at most `most` of them. One that an idle part makes no
// answer is left out while there are others. A broken answer stands only where nothing else does.
std::vector<Answer> ranked(std::vector<Answer> answers, std::size_t most);

}  // namespace gapwright
