// A first look at the drafts of a need: what each comes to with single values.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>
#include "design/arrangements/arrangement.hpp"
#include "design/design.hpp"
#include "design/needs/draft.hpp"
#include "design/values/stock.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "link/need.hpp"
#include "source/source_text.hpp"

namespace gapwright {

struct Screened {
    const Draft* draft = nullptr;
    std::shared_ptr<const SourceText> text;  // the draft's
    std::size_t gap = 0;                     // index among the gaps
    std::optional<ValueProblem> problem;     // with single values on offer
    std::optional<SearchResult> found;
    std::string too_slow;   // why no value is quick enough
    std::string left_out;   // why it could not be looked at
    std::size_t parts = 0;  // that the arrangements bring along, resistors counted once
    // Cards of parts that it brings along and the drawer lacks; none where the drawer has no cards.
    std::vector<std::string> not_in_drawer = {};

    double quicker = 1;     // than the estimate for the need's rate asks: its values
    double fixed_want = 0;  // of its score, what no value changes

    double reserve() const { return found ? found->worst.score.reserve : -1e9; }
};

// Why a gap is out of the question before any circuit is drawn; empty where it is not.
std::string ruled_out(const Need& need, const GapChoice& gap);

// "coupler", "infrared pair", "lamp and light-dependent resistor".
std::string gap_kind(const GapChoice& gap);

// Leaves only choices that are so many times as quick as the need's rate asks, by an estimate;
// false where none is.
bool leave_quick_ones(const Need& need, const GapChoice& gap, const Draft& draft, double quicker,
                      ValueProblem& problem);

// All drafts in order, several at once. Those not looked at because of a stop have nothing found.
std::vector<Screened> screen(const Need& need, const std::vector<Draft>& drafts,
                             const std::vector<GapChoice>& gaps, const Stock& stock,
                             const DesignOptions& options);

}  // namespace gapwright
