// From a set of values to an answer: the file with the values written in, its proof, and what a
// person wants to know.
#pragma once

#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <vector>
#include "design/design.hpp"
#include "design/needs/draft.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "population/engine.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// What an answer is made from.
struct Solved {
    std::shared_ptr<const SourceText> text;  // of the link, values still to be chosen
    std::string folder;                      // where its cards are looked for
    std::optional<Draft> draft;
    Aim aim;
    bool has_drawer;                         // of a need: a drawer that holds cards is named
    std::vector<std::string> not_in_drawer;  // cards that it brings along and the drawer lacks
    std::string gap_kind;                    // of a need
    bool home_made;                          // its gap is no packaged coupler
    double fixed_want;                       // of its score, what nothing to be chosen changes
    ValueProblem problem;
    SearchResult found;
};

// What was found before a stop is told all the same: then options are without the stop, and ask for
// no more specimens than usual.
void end_soon(DesignOptions& options);

// Proves the filled link and explains each value, in full or only by the pencil's sum.
// Errors: the proof's; stopped when the user asked.
std::expected<Answer, DesignFailure> answer_of(const Solved& solved, const DesignOptions& options);

// What a person wants to know of an answer's values: by the pencil's sum, or in full, which takes
// longer than the proof.
void explain(const Solved& solved, const EngineOptions& options, bool in_full, Answer& answer);

// Changes that would lift the least reserve by a hundredth or more, the best first: other couplers,
// closer tolerances.
std::vector<Help> helps_of(const Solved& solved, const Answer& answer,
                           const EngineOptions& options);

}  // namespace gapwright
