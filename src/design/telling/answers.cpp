#include "design/telling/answers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "design/design.hpp"
#include "design/judging/rank_answers.hpp"
#include "design/telling/answer.hpp"
#include "design/values/aim.hpp"
#include "design/values/score.hpp"
#include "design/values/value_problem.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

// A set by the search's own score, the least the best: a proof, which takes longer than all before
// it, may make it worse, but no better than one that is as good in all of this and has been proven.
using Standing = std::array<std::int64_t, 7>;
Standing standing_of(const Solved& s) {
    Score score = s.found.worst.score;
    // What no value moves is the same in every set of a link, but not in other drafts.
    score.want -= s.draft ? s.fixed_want : 0;
    const Rank rank = rank_of(score);
    return {rank.missing,
            s.home_made ? 1 : 0,
            rank.fine_want,
            rank.practice,
            static_cast<std::int64_t>(s.problem.link().parts.size()) + rank.parts,
            rank.current,
            s.not_in_drawer.empty() ? 0 : 1};
}

bool is_as_good(const Standing& a, const Standing& b) {
    return std::ranges::equal(a, b, std::ranges::less_equal{});
}

// One set on its way to an answer.
struct Candidate {
    Standing standing{};
    std::optional<std::expected<Answer, DesignFailure>> made = {};

    bool is_kept() const { return made && *made && (*made)->proof->verdict == Verdict::kept; }
};

// Those not proven yet that none as good stands before: proven and kept, or to be proven with them.
std::vector<std::size_t> next_to_prove(const std::vector<Candidate>& candidates) {
    std::vector<std::size_t> next;
    for (std::size_t k = 0; k < candidates.size(); ++k) {
        if (candidates[k].made) continue;
        bool worth_it = true;
        for (std::size_t other = 0; other < candidates.size(); ++other) {
            const Candidate& o = candidates[other];
            if (other == k || (o.made && !o.is_kept())) continue;
            const bool ties = o.standing == candidates[k].standing;
            if (ties && !o.made && other > k) continue;
            worth_it = worth_it && !is_as_good(o.standing, candidates[k].standing);
        }
        if (worth_it) next.push_back(k);
    }
    return next;
}

// The first answer is explained in full, and what would help looked for: where waveforms have to be
// followed only if help is needed.
void explain_all(const std::vector<Solved>& solved, const DesignOptions& options, bool stopped,
                 std::vector<Answer>& answers) {
    for (auto& answer : answers) {
        const bool first = &answer == &answers.front() && !stopped;
        const Solved& source = solved[answer.source];
        explain(source, options.engine, first, answer);
        if (!first) continue;
        const bool enough = source.problem.has_timed() && answer.proof->verdict == Verdict::kept;
        if (!enough) answer.helps = helps_of(source, answer, options.engine);
    }
}

}  // namespace

std::string name_of(const Solved& solved) {
    if (solved.draft) {
        return fmt::format("{} · {} · {}", solved.draft->input, solved.draft->gap,
                           solved.draft->output);
    }
    switch (solved.aim) {
        case Aim::first_choice:
            return "the set of first choice";
        case Aim::most_reserve:
            return "the set of most reserve";
        case Aim::least_current:
            break;
    }
    return "the set of least current";
}

std::expected<Answers, DesignFailure> answers_of(const std::vector<Solved>& solved,
                                                 DesignOptions options, bool stopped) {
    if (stopped) end_soon(options);
    DesignOptions alone = options;
    alone.engine.threads = 1;
    std::vector<Candidate> candidates;
    for (const auto& s : solved) candidates.push_back({standing_of(s)});
    for (auto next = next_to_prove(candidates); !next.empty(); next = next_to_prove(candidates)) {
        at_once(next.size(), options.engine, [&](std::size_t n) {
            const std::size_t k = next[n];
            candidates[k].made = answer_of(solved[k], next.size() == 1 ? options : alone);
        });
    }
    Answers result;
    for (std::size_t k = 0; k < candidates.size(); ++k) {
        auto& made = candidates[k].made;
        if (!made) continue;
        if (!*made) {
            if (made->error().stopped) return std::unexpected(std::move(made->error()));
            result.left_out.push_back({name_of(solved[k]), made->error().message});
            continue;
        }
        (*made)->source = k;
        result.answers.push_back(std::move(**made));
    }
    if (result.answers.empty()) return result;
    result.answers = ranked(std::move(result.answers), options.most_answers);
    explain_all(solved, options, stopped, result.answers);
    return result;
}

}  // namespace gapwright
