#include "design/answer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "design/design.hpp"
#include "design/fill_values.hpp"
#include "design/limits.hpp"
#include "design/value_problem.hpp"
#include "design/value_steps.hpp"
#include "fit/link_cards.hpp"
#include "link/link.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

std::string filled_text(const Solved& solved) {
    std::vector<ValueToFill> values;
    for (std::size_t r = 0; r < solved.problem.count(); ++r) {
        values.push_back(value_to_fill(solved.problem.stock(),
                                       solved.problem.choice(solved.found.set, r),
                                       solved.problem.parts()[r]));
    }
    return fill_values(solved.text, solved.problem.link(), values);
}

DesignFailure defect(const Problems& problems) {
    // What was read with its values open must be readable with them filled in.
    return {.problems = {},
            .message = fmt::format("the designed link cannot be read:\n{}", to_text(problems))};
}

// Each resistor's value, several at once.
std::vector<ChosenValue> explain_values(const Solved& solved, const EngineOptions& engine,
                                        bool in_full) {
    const ValueProblem problem = solved.problem.about(solved.found.set);
    std::vector<ChosenValue> values(problem.count());
    EngineOptions alone = engine;
    alone.threads = 1;
    const bool least_current =
        solved.characters == std::vector<Character>{Character::least_current};
    const Aim aim = least_current ? Aim::least_current : Aim::most_reserve;
    at_once(values.size(), engine, [&](std::size_t r) {
        values[r] = explain_value(problem, solved.found, r, alone, aim, in_full);
    });
    return values;
}

}  // namespace

void end_soon(DesignOptions& options) {
    options.engine.stop = {};
    options.samples = std::min(options.samples, DesignOptions{}.samples);
}

std::expected<Answer, DesignFailure> answer_of(const Solved& solved, const DesignOptions& options,
                                               bool in_full) {
    Answer answer{
        .characters = solved.characters, .draft = solved.draft, .text = filled_text(solved)};
    const auto text = std::make_shared<const SourceText>(solved.text->name(), answer.text);
    auto read = read_solvable_link(text, solved.folder);
    if (!read) return std::unexpected(defect(read.error()));
    auto proof = prove(read->link, read->circuit,
                       {.nominal_only = false,
                        .samples = options.samples,
                        .seed = options.seed,
                        .engine = options.engine});
    if (!proof) {
        return std::unexpected(DesignFailure{{}, proof.error().message, proof.error().stopped});
    }
    answer.link = std::move(read->link);
    answer.proof = std::make_shared<const Proof>(std::move(*proof));
    const auto limits = limits_of(*answer.proof);
    if (!limits.empty()) answer.limit = limits.front();
    answer.broken = broken_of(limits);
    answer.parts = answer.link.parts.size();
    answer.current = solved.found.worst.score.current;
    answer.values = explain_values(solved, options.engine, in_full);
    answer.sets_on_offer = solved.found.sets_on_offer;
    answer.all_looked_at = solved.found.all_looked_at;
    answer.most_possible = solved.found.most_possible;
    return answer;
}

}  // namespace gapwright
