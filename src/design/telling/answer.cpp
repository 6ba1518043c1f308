#include "design/telling/answer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "design/design.hpp"
#include "design/judging/limits.hpp"
#include "design/judging/objections.hpp"
#include "design/judging/when_dead.hpp"
#include "design/telling/value_steps.hpp"
#include "design/values/fill_values.hpp"
#include "design/values/value_problem.hpp"
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
    const std::string text = fill_values(solved.text, solved.problem.link(), values);
    return solved.draft ? text + solved.draft->in_time : text;
}

DesignFailure defect(const Problems& problems) {
    // What was read with its values open must be readable with them filled in.
    return {.problems = {},
            .message = fmt::format("the designed link cannot be read:\n{}", to_text(problems))};
}

// Whether the least reserve stays as it is with all the values next to those taken that hold.
bool no_value_moves(const std::vector<ChosenValue>& values, const Limit& limit) {
    constexpr double moved = 0.005;  // of the bound
    bool some_hold = false;
    for (const auto& value : values) {
        for (const auto& other : value.around) {
            if (other.taken || other.reserve < 0) continue;
            some_hold = true;
            if (!(std::abs(other.reserve - limit.reserve) < moved)) return false;
        }
    }
    return some_hold;
}

}  // namespace

void end_soon(DesignOptions& options) {
    options.engine.stop = {};
    options.samples = std::min(options.samples, DesignOptions{}.samples);
}

std::expected<Answer, DesignFailure> answer_of(const Solved& solved, const DesignOptions& options) {
    Answer answer{.characters = {}, .draft = solved.draft, .text = filled_text(solved)};
    const auto text = std::make_shared<const SourceText>(solved.text->name(), answer.text);
    auto read = read_solvable_link(text, solved.folder);
    if (!read) return std::unexpected(defect(read.error()));
    auto proof = prove(read->link, read->circuit,
                       {.nominal_only = false,
                        .samples = options.samples,
                        .timed_samples = options.timed_samples,
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
    answer.aim = solved.aim;
    answer.from_drawer = solved.has_drawer && solved.not_in_drawer.empty();
    answer.gap_kind = solved.gap_kind;
    answer.home_made = solved.home_made;
    answer.not_in_drawer = solved.not_in_drawer;
    answer.objections =
        objections_to(solved.problem, solved.found.set, solved.found.worst, options.engine);
    answer.when_dead = states_when_dead(answer.link, read->circuit);
    answer.sets_on_offer = solved.found.sets_on_offer;
    answer.all_looked_at = solved.found.all_looked_at;
    return answer;
}

void explain(const Solved& solved, const EngineOptions& options, bool in_full, Answer& answer) {
    const ValueProblem problem = solved.problem.about(solved.found.set);
    answer.values.resize(problem.count());
    EngineOptions alone = options;
    alone.threads = 1;
    at_once(problem.count(), options, [&](std::size_t r) {
        answer.values[r] = explain_value(problem, solved.found, r, alone, solved.aim, in_full);
    });
    answer.limit_is_fixed = in_full && no_value_moves(answer.values, answer.limit);
}

}  // namespace gapwright
