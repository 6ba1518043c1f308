#include "report/words/emitter_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "link/link.hpp"
#include "proof/limits/emitter_hours.hpp"
#include "report/words/design_words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double hour = 3600;
constexpr double few_hours = 10 * hour;  // s: below it an hour is no small part

std::string hours_text(double seconds) {
    if (seconds < few_hours) return engineering_short(seconds, Dimension::time, 3);
    return count_text(std::round(seconds / hour)) + " h";
}

std::string current_text(const EmitterInState& state) {
    if (state.dark) return fmt::format("dark ({})", state.state);
    return fmt::format("at {} ({})", engineering_short(state.current, Dimension::current, 3),
                       state.state);
}

std::string share_text(double share, double seconds, bool first) {
    return fmt::format("{}{}, {}", percent(share), first ? " of it" : "", hours_text(seconds));
}

std::string left_text(const EmitterHours& emitter) {
    if (!emitter.light_left) return "light left not known: its card states no life";
    const auto at = [](double share, double kelvin) {
        return fmt::format("{} at {}", percent(share, 2),
                           engineering_short(kelvin, Dimension::temperature, 3));
    };
    std::string text = "light left " + at(*emitter.light_left, emitter.temperature);
    if (emitter.light_left_hot && emitter.hottest > emitter.temperature) {
        text += ", " + at(*emitter.light_left_hot, emitter.hottest);
    }
    return text + ", nominal";
}

}  // namespace

std::string emitters_heading(const Link& link) {
    return "Emitters over " + engineering_short(link.surroundings.service, Dimension::time);
}

std::vector<std::string> emitter_words(const Link& link, const EmitterHours& emitter) {
    std::vector<std::string> words;
    const bool known = std::ranges::all_of(
        emitter.states, [](const EmitterInState& state) { return state.share.has_value(); });
    if (known) {
        bool first = true;
        for (const auto& state : emitter.states) {
            if (*state.share == 0) {
                words.push_back(fmt::format("never ({})", state.state));
                continue;
            }
            words.push_back(share_text(*state.share, *state.time, std::exchange(first, false)) +
                            ", " + current_text(state));
        }
        constexpr double rounding = 1e-9;
        if (emitter.without_supply > rounding) {
            words.push_back(share_text(emitter.without_supply,
                                       emitter.without_supply * link.surroundings.service, false) +
                            ", without supply");
        }
    } else {
        const auto most = std::ranges::max_element(emitter.states, {}, &EmitterInState::current);
        words.push_back(
            most->dark ? std::string("dark in every state")
                       : fmt::format("no duty is stated: it counts as lit all the time {}{}",
                                     current_text(*most),
                                     emitter.states.size() > 1 ? ", the most of any state" : ""));
    }
    words.push_back(left_text(emitter));
    return words;
}

}  // namespace gapwright
