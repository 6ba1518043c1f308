#include "design/need_answers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <iterator>
#include <set>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "card/part_kind.hpp"
#include "design/answer.hpp"
#include "design/arrangement.hpp"
#include "design/design.hpp"
#include "design/draft.hpp"
#include "design/screening.hpp"
#include "design/stock.hpp"
#include "design/value_bound.hpp"
#include "design/value_problem.hpp"
#include "design/value_search.hpp"
#include "link/link.hpp"
#include "population/at_once.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

struct Chosen {
    const Screened* screened;
    std::vector<Character> characters;
    Aim aim;
    std::size_t most_parts;
};

// The draft with the most reserve. At a first look reserves that are nearly alike count as
// equal: of these a packaged coupler comes before a home-made gap, then the one of fewest
// parts, then least current; of misses the one that breaks least else. Requires drafts in order
// of their reserve.
const Screened* preferred(const NeedTask& task, const std::vector<const Screened*>& by_reserve) {
    constexpr double alike = 0.002;  // docs/method.md, Design: needs
    const double enough = by_reserve.front()->reserve() - alike;
    const auto rank = [&](const Screened* s) {
        const WorstScore& worst = s->found->worst;
        const auto broken =
            std::ranges::count_if(worst.reserves, [](double reserve) { return reserve < 0; });
        const bool home_made = task.gaps[s->gap].receiver->kind != Kind::coupler;
        return std::tuple(broken, home_made, s->parts, worst.score.current);
    };
    const auto end =
        std::ranges::find_if(by_reserve, [&](const Screened* s) { return s->reserve() < enough; });
    return *std::ranges::min_element(by_reserve.begin(), end, {}, rank);
}

// The set found at the first look, among the choices of the whole stock.
ValueSet same_set(const Screened& screened, const ValueProblem& problem) {
    ValueSet set{};
    for (std::size_t r = 0; r < problem.count(); ++r) {
        const Choice& wanted = screened.problem->choice(screened.found->set, r);
        const auto same = std::ranges::find_if(problem.stock().choices, [&](const Choice& c) {
            return c.count == 1 && c.parts.front() == wanted.parts.front();
        });
        set[r] = static_cast<std::uint32_t>(same - problem.stock().choices.begin());
    }
    return set;
}

Solved solve(const NeedTask& task, const Chosen& chosen) {
    Solved solved{.text = chosen.screened->text,
                  .folder = task.need.folder,
                  .draft = *chosen.screened->draft,
                  .characters = chosen.characters,
                  .problem = *chosen.screened->problem,
                  .found = *chosen.screened->found};
    if (stopped(task)) return solved;
    const auto link = read_link(solved.text, solved.folder);
    if (!link) return solved;
    auto problem = ValueProblem::of(*link, task.stock);
    if (!problem || !leave_quick_ones(task.need, task.gaps[chosen.screened->gap],
                                      *chosen.screened->draft, *problem)) {
        return solved;
    }
    const ValueSet start = same_set(*chosen.screened, *problem);
    *problem = problem->about(start);
    auto found = search_values(*problem,
                               {.aim = chosen.aim,
                                .most_parts = chosen.most_parts,
                                .starts = 0,
                                .most_rounds = 3,
                                .most_alone = 100,
                                .most_sets_in_turn = 5000,
                                .from = {start},
                                .engine = task.options.engine},
                               chosen.screened->found->scenarios);
    if (!found) return solved;
    // A miss is only replaced by a nearer one: of equal ones the first breaks least else.
    const double reserve = found->worst.score.reserve;
    if (reserve < 0 && reserve < chosen.screened->reserve() + equal_reserves) return solved;
    solved.problem = problem->about(found->set);
    solved.found = std::move(*found);
    return solved;
}

// Drafts of other characters among those that hold, the best with its asked reserve kept first.
std::vector<Chosen> other_characters(const NeedTask& task,
                                     const std::vector<const Screened*>& by_reserve,
                                     const Draft& first) {
    std::vector<const Screened*> holding;
    const bool asked = std::ranges::any_of(
        by_reserve, [](const Screened* s) { return s->found->worst.score.spare >= 0; });
    for (const auto* s : by_reserve) {
        const Score& score = s->found->worst.score;
        if (asked ? score.spare >= 0 : score.reserve >= 0) holding.push_back(s);
    }
    std::vector<Chosen> chosen;
    if (holding.empty()) return chosen;
    if (!task.stock.cards.empty()) {
        const auto own =
            std::ranges::find_if(holding, [](const Screened* s) { return s->from_drawer; });
        if (own != holding.end()) {
            chosen.push_back({*own, {Character::from_drawer}, Aim::most_reserve, 1});
        }
    }
    const auto* fewest = *std::ranges::min_element(holding, {}, &Screened::parts);
    chosen.push_back({fewest, {Character::fewest_parts}, Aim::most_reserve, 1});
    const auto* least = *std::ranges::min_element(
        holding, {}, [](const Screened* s) { return s->found->worst.score.current; });
    chosen.push_back({least, {Character::least_current}, Aim::least_current, 1});
    const auto first_gap = std::ranges::find(task.gaps, first.gap, &GapChoice::name);
    const auto other = std::ranges::find_if(holding, [&](const Screened* s) {
        return gap_kind(task.gaps[s->gap]) != gap_kind(*first_gap);
    });
    if (other != holding.end()) {
        chosen.push_back({*other, {Character::other_gap}, Aim::most_reserve, 1});
    }
    return chosen;
}

std::vector<std::string> texts(const Solved& solved) {
    std::vector<std::string> list;
    for (std::size_t r = 0; r < solved.problem.count(); ++r) {
        list.push_back(
            choice_text(solved.problem.stock(), solved.problem.choice(solved.found.set, r)));
    }
    return list;
}

// Two answers that are the same stand as one of two characters.
void add(Solved one, std::vector<Solved>& solved) {
    for (auto& known : solved) {
        if (known.text->text() != one.text->text()) continue;
        if (texts(known) != texts(one)) continue;
        known.characters.push_back(one.characters.front());
        return;
    }
    solved.push_back(std::move(one));
}

// The best draft solved first, with as much of a proof as there is time for.
std::vector<Solved> solved_drafts(const NeedTask& task,
                                  const std::vector<const Screened*>& by_reserve) {
    const DesignOptions& options = task.options;
    std::vector<Solved> solved = {solve(
        task, {preferred(task, by_reserve), {Character::most_reserve}, Aim::most_reserve, 3})};
    Solved& first = solved.front();
    if (!stopped(task)) {
        // Of one or two resistors a proof is quick; for more a need has no time.
        const double share_of_time = first.problem.count() <= 2 ? 0.15 : 0.05;
        prove_best(first.problem, 3, share_of_time * options.proof_time, options.engine,
                   first.found);
    }
    for (const auto& chosen : other_characters(task, by_reserve, *first.draft)) {
        if (solved.size() == options.most_answers) break;
        add(solve(task, chosen), solved);
    }
    return solved;
}

// Answers from some drafts; none, where that of the most reserve fails.
struct Attempt {
    std::vector<Answer> answers;
    std::vector<LeftOut> left_out;
    std::set<const SourceText*> failed;  // texts of drafts that the proof failed for or broke
};

std::expected<Attempt, DesignFailure> attempt_with(const NeedTask& task,
                                                   const std::vector<const Screened*>& by_reserve) {
    const auto solved = solved_drafts(task, by_reserve);
    const bool whole = !stopped(task);
    DesignOptions together = task.options;
    if (!whole) end_soon(together);
    DesignOptions alone = together;
    alone.engine.threads = 1;
    std::vector<std::expected<Answer, DesignFailure>> made(solved.size(),
                                                           std::unexpected(DesignFailure{}));
    at_once(solved.size(), task.options.engine, [&](std::size_t k) {
        // The first is explained in full, which takes as long as all others.
        made[k] = answer_of(solved[k], k == 0 ? together : alone, k == 0);
    });
    Attempt attempt;
    for (std::size_t k = 0; k < made.size(); ++k) {
        if (made[k]) continue;
        if (made[k].error().stopped) return std::unexpected(std::move(made[k].error()));
        attempt.left_out.push_back(left_out_for(*solved[k].draft, made[k].error().message));
        attempt.failed.insert(solved[k].text.get());
    }
    if (!made.front()) return attempt;
    if (made.front()->proof->verdict == Verdict::broken) {
        attempt.failed.insert(solved.front().text.get());
    }
    for (auto& answer : made) {
        if (answer) attempt.answers.push_back(std::move(*answer));
    }
    if (whole) {
        Answer& first = attempt.answers.front();
        first.helps = helps_of(solved.front(), first.limit.reserve, task.options.engine);
    }
    return attempt;
}

}  // namespace

bool stopped(const NeedTask& task) {
    return task.options.engine.stop.stop_requested();
}

LeftOut left_out_for(const Draft& draft, const std::string& reason) {
    return {fmt::format("{} · {} · {}", draft.input, draft.gap, draft.output), reason};
}

std::expected<NeedAnswers, DesignFailure> need_answers(const NeedTask& task,
                                                       const std::vector<Screened>& screened) {
    std::vector<const Screened*> by_reserve;
    for (const auto& s : screened) {
        if (s.found) by_reserve.push_back(&s);
    }
    if (by_reserve.empty()) {
        return std::unexpected(
            DesignFailure{.problems = {},
                          .message = stopped(task) ? "stopped before any draft was looked at"
                                                   : "no draft is quick enough, or has an "
                                                     "operating point",
                          .stopped = stopped(task)});
    }
    std::ranges::stable_sort(by_reserve, std::ranges::greater{}, &Screened::reserve);
    // Limits between states are seen by the proof alone: a draft that seemed to hold and breaks
    // one gives way to the next, and stands only where none of the next few holds.
    constexpr int most_tries = 4;
    NeedAnswers result;
    for (int tries = 1; !by_reserve.empty(); ++tries) {
        auto attempt = attempt_with(task, by_reserve);
        if (!attempt) return std::unexpected(std::move(attempt.error()));
        std::ranges::move(attempt->left_out, std::back_inserter(result.left_out));
        if (!attempt->answers.empty()) {
            const bool broken = attempt->answers.front().proof->verdict == Verdict::broken;
            if (!broken || result.answers.empty()) result.answers = std::move(attempt->answers);
            const bool seemed_to_hold = by_reserve.front()->reserve() >= 0;
            if (!broken || !seemed_to_hold || tries == most_tries || stopped(task)) break;
        }
        std::erase_if(by_reserve,
                      [&](const Screened* s) { return attempt->failed.contains(s->text.get()); });
    }
    if (!result.answers.empty()) return result;
    const LeftOut& last = result.left_out.back();
    return std::unexpected(
        DesignFailure{.message = fmt::format("no draft could be proven; the last, {}: {}",
                                             last.what, last.reason)});
}

}  // namespace gapwright
