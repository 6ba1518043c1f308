#include "design/meet_need.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/part_kind.hpp"
#include "design/answer.hpp"
#include "design/arrangement.hpp"
#include "design/catalogue.hpp"
#include "design/design.hpp"
#include "design/draft.hpp"
#include "design/gap_choice.hpp"
#include "design/open_stock.hpp"
#include "design/screening.hpp"
#include "design/stock.hpp"
#include "design/value_bound.hpp"
#include "design/value_problem.hpp"
#include "design/value_search.hpp"
#include "design/value_steps.hpp"
#include "link/link.hpp"
#include "link/need.hpp"
#include "population/at_once.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

class NeedMeeter {
  public:
    NeedMeeter(const Need& need, const DesignOptions& options) : need_(need), options_(options) {}

    std::expected<Design, DesignFailure> meet() {
        auto stock = open_stock(need_.stock, need_.folder);
        if (!stock) return std::unexpected(DesignFailure{.problems = stock.error()});
        stock_ = std::move(*stock);
        result_.title = need_.title.empty() ? need_.file->name() : need_.title;
        result_.stock = stock_.name;
        result_.skipped = stock_.skipped;
        CardShelf shelf = shelf_beside(need_.folder);
        gaps_ = gap_choices(need_, shelf);
        drafts_ = drafts_of(need_);
        result_.drafts = drafts_.size();
        std::erase_if(drafts_, [&](const Draft& draft) {
            const auto gap = std::ranges::find(gaps_, draft.gap, &GapChoice::name);
            return gap != gaps_.end() && !ruled_out(need_, *gap).empty();
        });
        if (drafts_.empty()) return std::unexpected(nothing_fits());
        screened_ = screen(need_, drafts_, gaps_, stock_, options_);
        for (const auto& s : screened_) {
            if (!s.left_out.empty()) leave_out(*s.draft, s.left_out);
        }
        compare_gaps();
        if (auto failed = answer()) return std::unexpected(std::move(*failed));
        result_.stopped = stopped();
        return std::move(result_);
    }

  private:
    bool stopped() const { return options_.engine.stop.stop_requested(); }

    void leave_out(const Draft& draft, const std::string& reason) {
        result_.not_looked_at.push_back(
            {fmt::format("{} · {} · {}", draft.input, draft.gap, draft.output), reason});
    }

    DesignFailure nothing_fits() const {
        std::string why;
        for (const auto& gap : gaps_) {
            const std::string reason = ruled_out(need_, gap);
            if (!reason.empty())
                why += fmt::format("{}{}: {}", why.empty() ? "" : "; ", gap.name, reason);
        }
        return {.problems = only({.cause = Cause::contradiction,
                                  .place = need_.drive.place,
                                  .message = "no arrangement on file can meet this need",
                                  .remedy = why.empty() ? "change the drive, the load, or the gaps "
                                                          "that may be chosen"
                                                        : why})};
    }

    // --- the comparison of gaps ---

    void compare_gaps() {
        for (std::size_t g = 0; g < gaps_.size(); ++g) {
            GapComparison row{.gap = gaps_[g].name,
                              .kind = gap_kind(gaps_[g]),
                              .reserve = {},
                              .limited_by = {},
                              .ruled_out = ruled_out(need_, gaps_[g])};
            const Screened* best = nullptr;
            std::string why = "no arrangement fits";
            for (const auto& s : screened_) {
                if (s.gap != g) continue;
                if (!s.left_out.empty()) why = s.left_out;
                if (!s.too_slow.empty()) why = s.too_slow;
                if (s.found && (!best || s.reserve() > best->reserve())) best = &s;
            }
            if (best != nullptr) {
                row.reserve = best->reserve();
                row.limited_by = limited_by(*best);
            } else if (row.ruled_out.empty()) {
                row.ruled_out = why;
            }
            result_.gaps.push_back(std::move(row));
        }
    }

    // What limits a draft, and whether it is daylight that does it.
    std::string limited_by(const Screened& s) const {
        const std::size_t bound = s.found->worst.score.bound;
        std::string text = bound_name(*s.problem, bound);
        const Spread& light = need_.surroundings.light;
        const bool open = gaps_[s.gap].receiver->kind != Kind::coupler;
        if (open && light.varies() &&
            s.found->worst.scenarios[bound].conditions.light > light.nominal) {
            text += ": daylight";
        }
        return text;
    }

    // --- the answers ---

    struct Chosen {
        const Screened* screened;
        std::vector<Character> characters;
        Aim aim;
        std::size_t most_parts;
    };

    // A draft whose proof fails is left out, and the others answer.
    std::optional<DesignFailure> answer() {
        std::vector<const Screened*> by_reserve;
        for (const auto& s : screened_) {
            if (s.found) by_reserve.push_back(&s);
        }
        if (by_reserve.empty()) {
            return DesignFailure{.problems = {},
                                 .message = stopped() ? "stopped before any draft was looked at"
                                                      : "no draft is quick enough, or has an "
                                                        "operating point",
                                 .stopped = stopped()};
        }
        std::ranges::stable_sort(by_reserve, std::ranges::greater{}, &Screened::reserve);
        // Limits between states are seen by the proof alone: a draft that seemed to hold and breaks
        // one gives way to the next, and stands only where none of the next few holds.
        constexpr int most_tries = 4;
        std::vector<Answer> missed;
        for (int tries = 1; !by_reserve.empty(); ++tries) {
            if (auto failed = answer_with(by_reserve)) return failed;
            if (!result_.answers.empty()) {
                if (result_.answers.front().proof->verdict != Verdict::broken) return std::nullopt;
                if (missed.empty()) missed = std::move(result_.answers);
                result_.answers.clear();
                const bool seemed_to_hold = by_reserve.front()->reserve() >= 0;
                if (!seemed_to_hold || tries == most_tries || stopped()) break;
            }
            std::erase_if(by_reserve,
                          [&](const Screened* s) { return failed_.contains(s->text.get()); });
        }
        if (!missed.empty()) {
            result_.answers = std::move(missed);
            return std::nullopt;
        }
        const LeftOut& last = result_.not_looked_at.back();
        return DesignFailure{.message = fmt::format("no draft could be proven; the last, {}: {}",
                                                    last.what, last.reason)};
    }

    // Answers from these drafts; none, where that of the most reserve fails.
    std::optional<DesignFailure> answer_with(const std::vector<const Screened*>& by_reserve) {
        std::vector<Solved> solved;
        solved.push_back(
            solve({preferred(by_reserve), {Character::most_reserve}, Aim::most_reserve, 3}));
        // Of one or two resistors a proof is quick; for more a need has no time.
        const double share_of_time = solved.front().problem.count() <= 2 ? 0.15 : 0.05;
        if (!stopped()) {
            prove_best(solved.front().problem, 3, share_of_time * options_.proof_time,
                       options_.engine, solved.front().found);
        }
        std::vector<Chosen> others = other_characters(by_reserve, *solved.front().draft);
        for (auto& chosen : others) {
            if (solved.size() == options_.most_answers) break;
            add(solved, chosen);
        }
        const bool whole = !stopped();
        DesignOptions alone = options_;
        if (!whole) end_soon(alone);
        const DesignOptions together = alone;
        alone.engine.threads = 1;
        std::vector<std::expected<Answer, DesignFailure>> made(solved.size(),
                                                               std::unexpected(DesignFailure{}));
        at_once(solved.size(), options_.engine, [&](std::size_t k) {
            // The first is explained in full, which takes as long as all others.
            made[k] = answer_of(solved[k], k == 0 ? together : alone, k == 0);
        });
        for (std::size_t k = 0; k < made.size(); ++k) {
            if (made[k]) continue;
            if (made[k].error().stopped) return std::move(made[k].error());
            leave_out(*solved[k].draft, made[k].error().message);
            failed_.insert(solved[k].text.get());
        }
        if (made.front() && made.front()->proof->verdict == Verdict::broken) {
            failed_.insert(solved.front().text.get());
        }
        if (!made.front()) return std::nullopt;
        for (auto& answer : made) {
            if (answer) result_.answers.push_back(std::move(*answer));
        }
        if (whole) {
            Answer& first = result_.answers.front();
            first.helps = helps_of(solved.front(), first.limit.reserve, options_.engine);
        }
        return std::nullopt;
    }

    // The draft with the most reserve. At a first look reserves that are nearly alike count as
    // equal: of these a packaged coupler comes before a home-made gap, then the one of fewest
    // parts, then least current; of misses the one that breaks least else. Requires drafts in order
    // of their reserve.
    const Screened* preferred(const std::vector<const Screened*>& by_reserve) const {
        constexpr double alike = 0.002;  // docs/method.md, Design: needs
        const double enough = by_reserve.front()->reserve() - alike;
        const auto rank = [this](const Screened* s) {
            const WorstScore& worst = s->found->worst;
            const auto broken =
                std::ranges::count_if(worst.reserves, [](double reserve) { return reserve < 0; });
            const bool home_made = gaps_[s->gap].receiver->kind != Kind::coupler;
            return std::tuple(broken, home_made, s->parts, worst.score.current);
        };
        const auto end = std::ranges::find_if(
            by_reserve, [&](const Screened* s) { return s->reserve() < enough; });
        return *std::ranges::min_element(by_reserve.begin(), end, {}, rank);
    }

    Solved solve(const Chosen& chosen) const {
        Solved solved{.text = chosen.screened->text,
                      .folder = need_.folder,
                      .draft = *chosen.screened->draft,
                      .characters = chosen.characters,
                      .problem = *chosen.screened->problem,
                      .found = *chosen.screened->found};
        if (stopped()) return solved;
        const auto link = read_link(solved.text, solved.folder);
        if (!link) return solved;
        auto problem = ValueProblem::of(*link, stock_);
        if (!problem || !leave_quick_ones(need_, gaps_[chosen.screened->gap],
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
                                    .engine = options_.engine},
                                   chosen.screened->found->scenarios);
        if (!found) return solved;
        // A miss is only replaced by a nearer one: of equal ones the first breaks least else.
        const double reserve = found->worst.score.reserve;
        if (reserve < 0 && reserve < chosen.screened->reserve() + equal_reserves) return solved;
        solved.problem = problem->about(found->set);
        solved.found = std::move(*found);
        return solved;
    }

    // The set found at the first look, among the choices of the whole stock.
    static ValueSet same_set(const Screened& screened, const ValueProblem& problem) {
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

    // Drafts of other characters among those that hold, the best with its asked reserve kept first.
    std::vector<Chosen> other_characters(const std::vector<const Screened*>& by_reserve,
                                         const Draft& first) const {
        std::vector<const Screened*> holding;
        const bool asked = std::ranges::any_of(
            by_reserve, [](const Screened* s) { return s->found->worst.score.spare >= 0; });
        for (const auto* s : by_reserve) {
            const Score& score = s->found->worst.score;
            if (asked ? score.spare >= 0 : score.reserve >= 0) holding.push_back(s);
        }
        std::vector<Chosen> chosen;
        if (holding.empty()) return chosen;
        if (!stock_.cards.empty()) {
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
        const auto first_gap = std::ranges::find(gaps_, first.gap, &GapChoice::name);
        const auto other = std::ranges::find_if(holding, [&](const Screened* s) {
            return gap_kind(gaps_[s->gap]) != gap_kind(*first_gap);
        });
        if (other != holding.end()) {
            chosen.push_back({*other, {Character::other_gap}, Aim::most_reserve, 1});
        }
        return chosen;
    }

    // Two answers that are the same stand as one of two characters.
    void add(std::vector<Solved>& solved, const Chosen& chosen) const {
        Solved one = solve(chosen);
        for (auto& known : solved) {
            if (known.text->text() != one.text->text()) continue;
            if (texts(known) != texts(one)) continue;
            known.characters.push_back(chosen.characters.front());
            return;
        }
        solved.push_back(std::move(one));
    }

    static std::vector<std::string> texts(const Solved& solved) {
        std::vector<std::string> list;
        for (std::size_t r = 0; r < solved.problem.count(); ++r) {
            list.push_back(
                choice_text(solved.problem.stock(), solved.problem.choice(solved.found.set, r)));
        }
        return list;
    }

    const Need& need_;
    const DesignOptions& options_;
    Stock stock_;
    std::vector<GapChoice> gaps_;
    std::vector<Draft> drafts_;
    std::vector<Screened> screened_;
    std::set<const SourceText*> failed_;  // texts of drafts that the proof failed for or broke
    Design result_;
};

}  // namespace

std::expected<Design, DesignFailure> meet_need(const Need& need, const DesignOptions& options) {
    return NeedMeeter(need, options).meet();
}

}  // namespace gapwright
