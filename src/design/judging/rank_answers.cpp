#include "design/judging/rank_answers.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "design/design.hpp"
#include "design/values/score.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// An answer on grids, the least the best; each figure's step is what a person could feel.
struct Standing {
    int verdict;
    std::int64_t stretch;  // the more the better: negative
    std::int64_t practice;
    std::int64_t parts;
    std::int64_t current;
    bool bought;     // something of it is not in the drawer
    bool home_made;  // its gap is no packaged coupler
};

int place_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::kept:
            return 0;
        case Verdict::thin:
            return 1;
        case Verdict::unknown:
            return 2;
        case Verdict::broken:
            break;
    }
    return 3;
}

double stretch_of(const Answer& answer) {
    const auto& stretch = answer.proof->stretch;
    return stretch ? stretch->stretch.factor : 0;
}

// Σ of what is told against it.
double practice_of(const Answer& answer) {
    double sum = 0;
    for (const auto& objection : answer.objections) sum += objection.share;
    return sum;
}

Standing standing_of(const Answer& answer) {
    constexpr double stretch_step = 0.05;
    constexpr double practice_step = 0.05;
    constexpr double current_step = 0.05;  // share
    constexpr double least_current = 1e-9;
    return {
        .verdict = place_of(answer.proof->verdict),
        .stretch = -std::llround(stretch_of(answer) / stretch_step),
        .practice = std::llround(practice_of(answer) / practice_step),
        .parts = static_cast<std::int64_t>(answer.parts),
        .current = std::llround(std::log(std::max(answer.current, least_current)) / current_step),
        .bought = !answer.from_drawer,
        .home_made = answer.home_made};
}

// Stretch in steps as far as it is enough. Beyond that other things count more: of two circuits
// that bear a fifth more of every spread the one of fewer parts is the better (own choice).
std::int64_t steps_from_cliff(const Answer& answer) {
    constexpr double enough = 1.2;
    constexpr double step = 0.05;
    constexpr double slack = 1e-6;  // a round stretch stays what it is
    return static_cast<std::int64_t>(
        std::floor((std::min(stretch_of(answer), enough) - 1) / step + slack));
}

// Small misses of good practice count less than a part does.
std::int64_t halves_of_practice(const Answer& answer) {
    return static_cast<std::int64_t>(std::floor(practice_of(answer) / practice_worth_a_part));
}

// The order of the trade: kept; no serious miss of good practice; a packaged coupler before a gap
// of one's own; stretch up to enough; what lies in the drawer; good practice; fewest parts; least
// current; then the rest of the stretch.
auto order_of(const Answer& answer) {
    const Standing s = standing_of(answer);
    return std::tuple(s.verdict, practice_of(answer) >= serious_practice, s.home_made,
                      -steps_from_cliff(answer), s.bought, halves_of_practice(answer), s.parts,
                      s.practice, s.current, s.stretch);
}

bool has_idle_part(const Answer& answer) {
    return std::ranges::any_of(answer.objections, &Objection::idle);
}

void drop_what_is_no_answer(std::vector<Answer>& answers) {
    const auto is_one = [](const Answer& a) { return !has_idle_part(a); };
    if (std::ranges::any_of(answers, is_one)) std::erase_if(answers, has_idle_part);
    // What misses good practice altogether stands only where nothing else does.
    const auto passable = [](const Answer& a) {
        constexpr double altogether = 0.95;
        return std::ranges::none_of(a.objections,
                                    [](const Objection& o) { return o.share >= altogether; });
    };
    if (std::ranges::any_of(answers, passable)) {
        std::erase_if(answers, [&](const Answer& a) { return !passable(a); });
    }
    const auto broken = [](const Answer& a) { return a.proof->verdict == Verdict::broken; };
    if (!std::ranges::all_of(answers, broken)) std::erase_if(answers, broken);
    if (std::ranges::all_of(answers, broken) && answers.size() > 1) answers.resize(1);
}

// Whether no answer has less of it, and some have more.
template <class Figure>
bool is_least(const std::vector<Answer>& answers, const Answer& answer, Figure figure) {
    const auto own = figure(standing_of(answer));
    bool some_more = false;
    for (const auto& other : answers) {
        const auto others = figure(standing_of(other));
        if (others < own) return false;
        some_more = some_more || others > own;
    }
    return some_more;
}

std::vector<Character> names_of(const std::vector<Answer>& answers, const Answer& answer) {
    std::vector<Character> names;
    const Answer& first = answers.front();
    if (&answer == &first) names.push_back(Character::first_choice);
    const auto add = [&](Character name, auto figure) {
        if (is_least(answers, answer, figure)) names.push_back(name);
    };
    add(Character::most_stretch, [](const Standing& s) { return s.stretch; });
    add(Character::fewest_parts, [](const Standing& s) { return s.parts; });
    add(Character::least_current, [](const Standing& s) { return s.current; });
    add(Character::from_drawer, [](const Standing& s) { return s.bought; });
    if (answer.gap_kind != first.gap_kind) names.push_back(Character::other_gap);
    return names;
}

bool has_a_name_of_its_own(const std::vector<Answer>& answers, std::size_t k) {
    return std::ranges::any_of(answers[k].characters, [&](Character name) {
        return std::none_of(answers.begin(), answers.begin() + static_cast<std::ptrdiff_t>(k),
                            [&](const Answer& before) {
                                return std::ranges::find(before.characters, name) !=
                                       before.characters.end();
                            });
    });
}

std::string stretch_text(const Answer& answer) {
    const auto& stretch = answer.proof->stretch;
    if (!stretch) return "none";
    return fmt::format("{}{:.3g}", stretch->stretch.beyond ? "over " : "",
                       std::floor(stretch->stretch.factor * 100) / 100);
}

std::string against(const Answer& answer, const Answer& first) {
    const Standing a = standing_of(answer);
    const Standing b = standing_of(first);
    std::vector<std::string> has;
    std::vector<std::string> pays;
    const auto tell = [&](std::int64_t own, std::int64_t others, const std::string& better,
                          const std::string& worse) {
        if (own < others) has.push_back(better);
        if (own > others) pays.push_back(worse);
    };
    const auto stretch =
        fmt::format("stretch {} against {}", stretch_text(answer), stretch_text(first));
    tell(a.verdict, b.verdict, "a firmer verdict", "a weaker verdict");
    tell(a.stretch, b.stretch, stretch, stretch);
    tell(a.practice, b.practice, "better practice", "poorer practice");
    const auto parts = fmt::format("{} parts against {}", answer.parts, first.parts);
    tell(a.parts, b.parts, parts, parts);
    const auto current =
        fmt::format("{} against {}", engineering_short(answer.current, Dimension::current, 3),
                    engineering_short(first.current, Dimension::current, 3));
    tell(a.current, b.current, current, current);
    tell(a.home_made ? 1 : 0, b.home_made ? 1 : 0, "a packaged coupler",
         "a gap of one's own making");
    tell(a.bought ? 1 : 0, b.bought ? 1 : 0, "all of it lies in the drawer",
         "not all of it lies in the drawer");
    std::string text;
    if (!has.empty()) text = fmt::format("over answer 1: {}", fmt::join(has, ", "));
    if (!pays.empty()) {
        text += fmt::format("{}it pays with {}", text.empty() ? "" : "; ", fmt::join(pays, ", "));
    }
    return text;
}

}  // namespace

bool dominates(const Answer& a, const Answer& b) {
    const Standing x = standing_of(a);
    const Standing y = standing_of(b);
    return x.verdict <= y.verdict && x.stretch <= y.stretch && x.practice <= y.practice &&
           x.parts <= y.parts && x.current <= y.current && x.bought <= y.bought &&
           x.home_made <= y.home_made;
}

std::vector<Answer> ranked(std::vector<Answer> answers, std::size_t most) {
    drop_what_is_no_answer(answers);
    std::ranges::stable_sort(answers, {}, order_of);
    std::vector<Answer> shown;
    for (auto& answer : answers) {
        const auto is_as_good = [&](const Answer& known) { return dominates(known, answer); };
        if (std::ranges::none_of(shown, is_as_good)) shown.push_back(std::move(answer));
    }
    // Names are true among those that are shown: with each that goes they are given anew. An answer
    // stands for a name that none before it has.
    for (bool changed = true; changed;) {
        changed = false;
        for (auto& answer : shown) answer.characters = names_of(shown, answer);
        for (std::size_t k = shown.size(); k-- > 1;) {
            if (has_a_name_of_its_own(shown, k) && k < most) continue;
            shown.erase(shown.begin() + static_cast<std::ptrdiff_t>(k));
            changed = true;
            break;
        }
    }
    for (std::size_t k = 1; k < shown.size(); ++k) {
        shown[k].against_first = against(shown[k], shown.front());
    }
    return shown;
}

}  // namespace gapwright
