// From a set of values to an answer: the file with the values written in, its proof, and what a
// person wants to know.
#pragma once

#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <vector>
#include "design/design.hpp"
#include "design/draft.hpp"
#include "design/value_problem.hpp"
#include "design/value_search.hpp"
#include "population/engine.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// What an answer is made from.
struct Solved {
    std::shared_ptr<const SourceText> text;  // of the link, values still to be chosen
    std::string folder;                      // where its cards are looked for
    std::optional<Draft> draft;
    std::vector<Character> characters;
    ValueProblem problem;
    SearchResult found;
};

// What was found before a stop is told all the same: then options are without the stop, and ask for
// no more specimens than usual.
void end_soon(DesignOptions& options);

// Proves the filled link and explains each value, in full or only by the pencil's sum.
// Errors: the proof's; stopped when the user asked.
std::expected<Answer, DesignFailure> answer_of(const Solved& solved, const DesignOptions& options,
                                               bool in_full);

// Changes that would lift the least reserve by a hundredth or more, the best first: other couplers,
// closer tolerances.
std::vector<Help> helps_of(const Solved& solved, double reserve, const EngineOptions& options);

}  // namespace gapwright
