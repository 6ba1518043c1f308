#include "design/needs/need_answers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <iterator>
#include <set>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "card/part_kind.hpp"
#include "design/design.hpp"
#include "design/needs/draft.hpp"
#include "design/needs/screening.hpp"
#include "design/telling/answer.hpp"
#include "design/telling/answers.hpp"
#include "design/values/aim.hpp"
#include "design/values/score.hpp"
#include "design/values/stock.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

// A draft that is designed in full, and by what.
struct Chosen {
    const Screened* screened;
    Aim aim;
    std::size_t most_parts;  // for one resistor
    double quicker = 1;      // than the estimate for the need's rate asks
};

bool home_made(const NeedTask& task, const Screened& s) {
    return task.gaps[s.gap].receiver->kind != Kind::coupler;
}

// In the order in which an experienced hand would take them, by the first look; of misses the one
// that breaks least else comes first.
auto order_of(const NeedTask& task, const Screened* s) {
    const WorstScore& worst = s->found->worst;
    Score score = worst.score;
    score.want -= s->fixed_want;
    const Rank rank = rank_of(score);
    const auto broken =
        std::ranges::count_if(worst.reserves, [](double reserve) { return reserve < 0; });
    // Small misses of good practice count less than a part does (docs/method.md, Design: needs).
    const auto practice =
        static_cast<std::int64_t>(std::floor(score.practice / practice_worth_a_part));
    return std::tuple(rank.missing, broken, home_made(task, *s), score.practice >= serious_practice,
                      rank.want, !s->not_in_drawer.empty(), practice, s->parts, rank.fine_want,
                      rank.fine_practice, rank.ordinary, rank.current);
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
    const Screened& screened = *chosen.screened;
    Solved solved{.text = screened.text,
                  .folder = task.need.folder,
                  .draft = *screened.draft,
                  .aim = chosen.aim,
                  .has_drawer = !task.stock.cards.empty(),
                  .not_in_drawer = screened.not_in_drawer,
                  .gap_kind = gap_kind(task.gaps[screened.gap]),
                  .home_made = home_made(task, screened),
                  .fixed_want = screened.fixed_want,
                  .problem = *screened.problem,
                  .found = *screened.found};
    if (stopped(task)) return solved;
    const auto link = read_link(solved.text, solved.folder);
    if (!link) return solved;
    auto problem = ValueProblem::of(*link, task.stock);
    if (!problem || !leave_quick_ones(task.need, task.gaps[screened.gap], *screened.draft,
                                      chosen.quicker * screened.quicker, *problem)) {
        return solved;
    }
    const ValueSet start = same_set(screened, *problem);
    *problem = problem->about(start);
    auto found = search_values(*problem,
                               {.aim = chosen.aim,
                                .most_parts = chosen.most_parts,
                                .starts = chosen.quicker > 1 ? 2U : 0U,
                                .most_rounds = 3,
                                .most_alone = 100,
                                .most_sets_in_turn = 5000,
                                .from = {start},
                                .engine = task.options.engine},
                               screened.found->scenarios);
    if (!found) return solved;
    // A miss is only replaced by a nearer one: of equal ones the first breaks least else.
    const double reserve = found->worst.score.reserve;
    if (reserve < 0 && reserve < screened.reserve() + equal_reserves) return solved;
    solved.problem = problem->about(found->set);
    solved.found = std::move(*found);
    return solved;
}

// The drafts worth an answer: the first in order; the first of each that may have something over
// it. Requires drafts in order.
std::vector<Chosen> worth_an_answer(const NeedTask& task,
                                    const std::vector<const Screened*>& in_order) {
    // Two parts for one resistor must be worth it by the proof's own stretch.
    std::vector<Chosen> chosen = {{in_order.front(), Aim::first_choice, 2},
                                  {in_order.front(), Aim::first_choice, 1}};
    std::vector<const Screened*> holding;
    const bool asked = in_order.front()->found->worst.score.spare >= 0;
    for (const auto* s : in_order) {
        const Score& score = s->found->worst.score;
        if (asked ? score.spare >= 0 : score.reserve >= 0) holding.push_back(s);
    }
    if (holding.empty()) return chosen;
    const auto add = [&](const Screened* s, Aim aim) {
        const auto same = [&](const Chosen& known) {
            return known.screened == s && known.aim == aim;
        };
        if (std::ranges::none_of(chosen, same)) chosen.push_back({s, aim, 1});
    };
    const auto least = [&](auto figure) { return *std::ranges::min_element(holding, {}, figure); };
    // Of each way to build the output side: how much stretch it has its proof alone tells.
    std::set<std::string> outputs;
    for (const auto* s : holding) {
        if (outputs.insert(s->draft->output).second) add(s, Aim::first_choice);
    }
    constexpr std::size_t most_gaps = 3;
    std::set<std::size_t> gaps;
    for (const auto* s : holding) {
        if (gaps.size() < most_gaps && gaps.insert(s->gap).second) add(s, Aim::first_choice);
    }
    add(least([](const Screened* s) { return s->parts; }), Aim::first_choice);
    add(least([](const Screened* s) { return rank_of(s->found->worst.score).current; }),
        Aim::least_current);
    const auto own =
        std::ranges::find_if(holding, [](const Screened* s) { return s->not_in_drawer.empty(); });
    if (!task.stock.cards.empty() && own != holding.end()) add(*own, Aim::first_choice);
    const auto kind = [&](const Screened* s) { return gap_kind(task.gaps[s->gap]); };
    std::set<std::string> kinds = {kind(holding.front())};
    for (const auto* s : holding) {
        if (kinds.insert(kind(s)).second) add(s, Aim::first_choice);
    }
    // Waveforms may find slow what the estimate lets pass: then quicker values take their place.
    if (task.need.rate > 0) {
        for (const double quicker : {1.5, 2.0}) {
            for (std::size_t k = 0, count = chosen.size(); k < count; ++k) {
                if (chosen[k].aim != Aim::first_choice || chosen[k].quicker > 1) continue;
                chosen.push_back(chosen[k]);
                chosen.back().quicker = quicker;
                chosen.back().most_parts = 1;
            }
        }
    }
    return chosen;
}

// Drafts whose proof failed, or breaks.
void note_failed(const Answers& answers, const std::vector<Solved>& solved,
                 std::set<const SourceText*>& failed) {
    for (const auto& one : solved) failed.insert(one.text.get());
    for (const auto& answer : answers.answers) {
        if (answer.proof->verdict == Verdict::broken) continue;
        failed.erase(solved[answer.source].text.get());
    }
}

}  // namespace

bool stopped(const NeedTask& task) {
    return task.options.engine.stop.stop_requested();
}

LeftOut left_out_for(const Draft& draft, const std::string& reason) {
    return {fmt::format("{} · {} · {}", draft.input, draft.gap, draft.output), reason};
}

std::expected<Answers, DesignFailure> need_answers(const NeedTask& task,
                                                   const std::vector<Screened>& screened) {
    std::vector<const Screened*> in_order;
    for (const auto& s : screened) {
        if (s.found) in_order.push_back(&s);
    }
    if (in_order.empty()) {
        return std::unexpected(
            DesignFailure{.problems = {},
                          .message = stopped(task) ? "stopped before any draft was looked at"
                                                   : "no draft is quick enough, or has an "
                                                     "operating point",
                          .stopped = stopped(task)});
    }
    std::ranges::stable_sort(in_order, {}, [&](const Screened* s) { return order_of(task, s); });
    // Limits between states are seen by the proof alone: where drafts that seemed to hold break
    // one, the next take their place, and a miss stands only where none of the next few holds.
    constexpr int most_tries = 4;
    Answers result;
    for (int tries = 1; !in_order.empty(); ++tries) {
        std::vector<Solved> solved;
        for (const auto& chosen : worth_an_answer(task, in_order)) {
            solved.push_back(solve(task, chosen));
            if (stopped(task)) break;  // who has stopped waits for one proof, not for ten
        }
        auto answers = answers_of(solved, task.options, stopped(task));
        if (!answers) return std::unexpected(std::move(answers.error()));
        std::ranges::move(answers->left_out, std::back_inserter(result.left_out));
        std::set<const SourceText*> failed;
        note_failed(*answers, solved, failed);
        if (!answers->answers.empty()) {
            const bool broken = answers->answers.front().proof->verdict == Verdict::broken;
            if (!broken || result.answers.empty()) result.answers = std::move(answers->answers);
            const bool seemed_to_hold = in_order.front()->reserve() >= 0;
            if (!broken || !seemed_to_hold || tries == most_tries || stopped(task)) break;
        }
        std::erase_if(in_order, [&](const Screened* s) { return failed.contains(s->text.get()); });
    }
    if (!result.answers.empty()) return result;
    const LeftOut& last = result.left_out.back();
    return std::unexpected(
        DesignFailure{.message = fmt::format("no draft could be proven; the last, {}: {}",
                                             last.what, last.reason)});
}

}  // namespace gapwright
