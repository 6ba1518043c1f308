// From sets of values to the answers of a design: proven, put in order, explained.
#pragma once

#include <expected>
#include <vector>

#include "design/design.hpp"
#include "design/telling/answer.hpp"

namespace gapwright {

struct Answers {
    std::vector<Answer> answers;  // in order; empty where every proof failed
    std::vector<LeftOut> left_out;
};

// `stopped`: the user asked for an end: the answers are made of what was found, and nothing more is
// looked for. Errors: a second stop.
std::expected<Answers, DesignFailure> answers_of(const std::vector<Solved>& solved,
                                                 DesignOptions options, bool stopped);

// A set of values as people call it: its draft, or what it was looked for by.
std::string name_of(const Solved& solved);

}  // namespace gapwright
