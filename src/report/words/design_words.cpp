#include "report/words/design_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "design/design.hpp"
#include "design/values/aim.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/timed/timed_subject.hpp"
#include "proof/verdict.hpp"
#include "report/words/words.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

double step_of(double value, int digits) {
    return std::pow(10.0, std::floor(std::log10(std::abs(value))) - (digits - 1));
}

constexpr double slack = 1e-9;  // of a step: a round number stays what it is

std::string ohms(double value) {
    return engineering_short(value, Dimension::resistance, 3);
}

std::string why_it_ends(std::string_view way, const std::string& limit) {
    return limit.empty() ? std::string() : fmt::format(" ({}: {})", way, limit);
}

}  // namespace

double rounded_down(double value, int digits) {
    if (value == 0 || !std::isfinite(value)) return value;
    const double step = step_of(value, digits);
    return std::floor(value / step + slack) * step;
}

double rounded_up(double value, int digits) {
    return -rounded_down(-value, digits);
}

double asked_reserve(const Link& link, const Limit& limit) {
    if (limit.bound == 0) return 0;
    if (limit.is_promise) {
        for (const auto& p : link.promises) {
            const bool same_state =
                p.state < link.states.size() && link.states[p.state].name == limit.state;
            const bool same = p.at_rest() ? same_state && p.text == limit.subject
                                          : timed_subject(p) == limit.subject;
            if (same) return p.reserve;
        }
    }
    return link.surroundings.reserve;
}

std::optional<double> relaxed_bound(const Limit& limit, double asked) {
    // What is left is a share of the bound's own size, which changes with it.
    const bool at_least = limit.sense == Sense::at_least;
    const double share = at_least == (limit.value >= 0) ? 1 + asked : 1 - asked;
    if (!(share > 0) || !std::isfinite(limit.value)) return std::nullopt;
    return limit.value / share;
}

std::string reserve_text(double reserve) {
    constexpr double far = -10;  // beyond it the figure says no more
    if (reserve < far && std::isfinite(reserve)) return "under −1000 %";
    return std::isfinite(reserve) ? percent(reserve) : "no operating point";
}

std::string reserve_text(const Limit& limit) {
    if (limit.bound == 0) return engineering(limit.reserve, limit.dimension);
    return reserve_text(limit.reserve);
}

std::string bound_text(const Limit& limit) {
    return (limit.sense == Sense::at_most ? "≤ " : "≥ ") + limit_figure(limit, limit.bound);
}

std::string limit_figure(const Limit& limit, double value) {
    if (limit.dimension == Dimension::time && value >= never) return "never";
    if (limit.dimension == Dimension::ratio) return percent(value, 3);
    return value == limit.bound ? engineering_short(value, limit.dimension)
                                : beside(value, limit.bound, limit.dimension);
}

std::string count_text(double count) {
    constexpr double most_in_full = 1e9;
    if (!(count < most_in_full)) {
        std::string text = fmt::format("{:.1e}", count);
        const auto plus = text.find("e+");
        return plus == std::string::npos ? text : text.replace(plus, 2, "e");
    }
    std::string text = fmt::format("{:.0f}", count);
    constexpr std::size_t group = 3;
    for (std::size_t at = text.size(); at > group;) {
        at -= group;
        text.insert(at, " ");
    }
    return text;
}

bool holds_somewhere(const ValueWindow& window) {
    return window.holds_from <= window.holds_to;
}

std::string window_text(const ValueWindow& w) {
    if (!holds_somewhere(w)) return "no value holds, the others as chosen";
    if (w.open_below && w.open_above) {
        return fmt::format("holds with every value on offer, {} to {}", ohms(w.lowest),
                           ohms(w.highest));
    }
    const std::string from =
        w.open_below ? ohms(w.lowest) + ", the lowest on offer,"
                     : ohms(rounded_up(w.holds_from)) + why_it_ends("below", w.ends_below);
    const std::string to =
        w.open_above ? ohms(w.highest) + ", the highest on offer"
                     : ohms(rounded_down(w.holds_to)) + why_it_ends("above", w.ends_above);
    return fmt::format("holds from {} to {}", from, to);
}

std::string optimum_text(const Answer& answer, bool stopped) {
    if (answer.values.empty()) return {};
    const std::string sets = count_text(answer.sets_on_offer);
    if (answer.all_looked_at && answer.sets_on_offer <= 1) return "the only set on offer";
    if (answer.all_looked_at) {
        switch (answer.aim) {
            case Aim::first_choice:
                return fmt::format("none of {} sets is better by the order of the trade", sets);
            case Aim::most_reserve:
                return fmt::format("none of {} sets has more reserve", sets);
            case Aim::least_current:
                break;
        }
        return fmt::format("none of {} sets that keeps every asked reserve takes less current",
                           sets);
    }
    return stopped ? fmt::format("the best found of {} sets before the stop; not proven", sets)
                   : fmt::format("found by search among {} sets; not proven", sets);
}

std::string characters_text(const Answer& answer) {
    std::string text;
    for (const Character c : answer.characters) {
        text += text.empty() ? "" : ", ";
        text += character_name(c);
    }
    return text.empty() ? "as chosen" : text;
}

std::string answer_stretch(const Answer& answer) {
    const auto& stretch = answer.proof->stretch;
    if (!stretch) return {};
    return fmt::format("stretch {}", shown_stretch(stretch->stretch));
}

std::string when_dead_text(const Answer& answer) {
    if (answer.when_dead.empty()) {
        return "input side dead (no supply, wire cut, emitter failed): as in none of its states, "
               "nominal";
    }
    return fmt::format(
        "input side dead (no supply, wire cut, emitter failed): as in state {}, nominal",
        fmt::join(answer.when_dead, " and "));
}

std::string objection_text(const Objection& o) {
    return fmt::format("{}{}: {} {}; asked: {}, {}", o.part,
                       o.state.empty() ? "" : fmt::format(", {}", o.state), o.name, o.found,
                       o.asked, o.reason);
}

std::vector<std::string> paths_text(const LinkSide& side) {
    std::vector<std::string> lines;
    for (const auto& path : side.paths) {
        std::string line;
        for (const auto& item : path) line += (line.empty() ? "" : " > ") + item.name;
        lines.push_back(std::move(line));
    }
    return lines;
}

}  // namespace gapwright
