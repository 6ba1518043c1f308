// From the drafts of a need that were looked at to its answers. Internal to the layer.
#pragma once

#include <expected>
#include <string>
#include <vector>

#include "design/arrangements/arrangement.hpp"
#include "design/design.hpp"
#include "design/needs/draft.hpp"
#include "design/needs/screening.hpp"
#include "design/telling/answers.hpp"
#include "design/values/stock.hpp"
#include "link/need.hpp"

namespace gapwright {

// A need and what it may be met with; the same from the first draft to the last answer.
struct NeedTask {
    const Need& need;
    const DesignOptions& options;
    Stock stock;
    std::vector<GapChoice> gaps;
};

// Whether the user wants an end.
bool stopped(const NeedTask& task);

// The answers of the best draft, and of those that may have something over it. A draft whose proof
// fails is left out,
// and the others answer. Errors: no draft has an operating point or could be proven; a stop.
std::expected<Answers, DesignFailure> need_answers(const NeedTask& task,
                                                   const std::vector<Screened>& screened);

// A draft that could not be looked at, and why.
LeftOut left_out_for(const Draft& draft, const std::string& reason);

}  // namespace gapwright
