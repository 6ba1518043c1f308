#include "report/text/wave_text.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "link/link.hpp"
#include "proof/timed/delay_study.hpp"
#include "proof/timed/wave_answer.hpp"
#include "report/text/text_table.hpp"
#include "report/text/verdict_text.hpp"
#include "report/words/words.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

std::string delay_or_never(double delay) {
    return delay >= never ? "never" : engineering(delay, Dimension::time);
}

std::string time_or(const std::optional<double>& time, std::string_view otherwise) {
    return time ? engineering(*time, Dimension::time) : std::string(otherwise);
}

std::string head(const Link& link, const WaveAnswer& answer) {
    std::string text = fmt::format("{}: {}\n", shown_title(link), answer.title);
    text += fmt::format("  nominal specimen, followed for {}{}; {} steps\n",
                        engineering_short(answer.end, Dimension::time, 3),
                        answer.rested ? ", until it rests" : "", answer.steps);
    if (!answer.stores) {
        text += "  nothing in this link stores charge, flux or light: it follows at once\n";
    }
    return text;
}

std::string transitions(const WaveAnswer& answer) {
    if (answer.transitions.empty()) return {};
    const bool change = answer.kind == WaveRequest::Kind::change;
    Table table({false, true, true, true, true, true, true});
    table.add({"quantity", "before", "after", "lowest", "highest", change ? "half-way after" : "",
               change ? "10 to 90 % in" : ""});
    for (const auto& t : answer.transitions) {
        const auto shown = [&](double value) { return engineering(value, t.dimension); };
        const bool returns = change && !t.halfway;
        table.add({(t.dimension == Dimension::voltage ? "voltage " : "current ") + t.name,
                   shown(t.before), shown(t.after), shown(t.lowest), shown(t.highest),
                   t.open    ? "later"
                   : returns ? "returns"
                             : time_or(t.halfway, ""),
                   time_or(t.edge_time, "")});
    }
    return table.text();
}

std::string instants(const WaveAnswer& answer) {
    std::string text;
    for (const auto& i : answer.instants) {
        if (i.open) {
            text += fmt::format("  {} {} later, if it does: within {} it is not at {}\n", i.part,
                                i.what, engineering_short(answer.end, Dimension::time, 3),
                                engineering_short(i.level, Dimension::voltage));
            continue;
        }
        text += i.at ? fmt::format("  {} {} after {} ({})\n", i.part, i.what,
                                   engineering(*i.at, Dimension::time),
                                   engineering_short(i.level, Dimension::voltage))
                     : fmt::format("  {} never {}: it comes to {}, not to {}\n", i.part, i.what,
                                   engineering(i.comes_to, Dimension::voltage),
                                   engineering_short(i.level, Dimension::voltage));
    }
    return text;
}

std::string drift(const WaveAnswer& answer) {
    if (answer.drift.emitters.empty()) return {};
    std::string text;
    for (const auto& e : answer.drift.emitters) {
        text += fmt::format("  {} warms by {:.1f} K with {}: {} of its light is left\n", e.part,
                            e.rise, engineering(e.power, Dimension::power), percent(e.light, 3));
    }
    for (const auto& n : answer.drift.nodes) {
        text += fmt::format("  voltage {} goes from {} to {}\n", n.node,
                            engineering(n.cold, Dimension::voltage, 4),
                            engineering(n.warm, Dimension::voltage, 4));
    }
    return text;
}

// Errors of one sign add from link to link; a receiver that samples in the middle of a bit loses it
// when half of it is gone.
std::string chain(double share) {
    constexpr int longest = 8;
    if (share <= 0) return {};
    const double links = std::floor(0.5 / share);
    if (links > longest) {
        return fmt::format("  in a chain errors add: through {} such links {} of a bit\n", longest,
                           percent(longest * share, 3));
    }
    return fmt::format("  in a chain errors add: half a bit is gone after {} such link{}\n",
                       links + 1, links + 1 == 1 ? "" : "s");
}

std::string signal_at(const SignalAnswer& s) {
    const double length = s.pulse.end - s.pulse.begin;
    if (!s.pulse.arrives()) {
        return fmt::format("  a pulse of {} does not arrive\n",
                           engineering(length, Dimension::time));
    }
    const double error = s.pulse.width_error();
    return fmt::format("  a pulse of {} begins {} late and ends {} late: {} {}, {} of a bit\n",
                       engineering(length, Dimension::time),
                       engineering(*s.pulse.begin_delay, Dimension::time),
                       engineering(*s.pulse.end_delay, Dimension::time),
                       engineering(std::abs(error), Dimension::time),
                       error < 0 ? "shorter" : "longer", percent(std::abs(error) / s.bit, 3)) +
           chain(std::abs(error) / s.bit) +
           fmt::format("  the eye, sampled in the middle of each bit: {} open\n",
                       engineering(s.eye.opening(), Dimension::voltage));
}

std::string signal(const WaveAnswer& answer, bool colour) {
    if (answer.kind == WaveRequest::Kind::signal && answer.signal.empty()) {
        return "\n  no promise about the signal and no logic input says at which level to time "
               "its pulses\n";
    }
    std::string text;
    for (const auto& s : answer.signal) {
        text += shown_section(fmt::format("Signal at {}, timed at {}", s.quantity,
                                          engineering_short(s.level, Dimension::voltage)),
                              signal_at(s), colour);
    }
    return text;
}

std::string delays(const DelayStudy& study, bool colour) {
    Table table({false, true, true, true, true, false});
    table.add({"", "nominal", "fastest", "median", "slowest", "the slowest"});
    for (const auto& s : study.spreads) {
        std::string whose = case_text(s.slowest_specimen);
        if (s.never_reached > 0) {
            whose = fmt::format("{} never get there; {}", s.never_reached, whose);
        }
        table.add({s.name, s.nominal ? delay_or_never(*s.nominal) : "later",
                   delay_or_never(s.fastest), delay_or_never(s.middle), delay_or_never(s.slowest),
                   whose});
    }
    return shown_section(fmt::format("Delays of {} specimens drawn", study.specimens), table.text(),
                         colour);
}

}  // namespace

std::string wave_text(const Link& link, const WaveAnswer& answer,
                      const std::optional<DelayStudy>& study, const TextStyle& style) {
    const auto section = [&](std::string_view title, const std::string& text) {
        return shown_section(title, text, style.colour);
    };
    return head(link, answer) + section("What moves", transitions(answer)) +
           section("What follows", instants(answer)) +
           section("What drifts as emitters warm up, over seconds to minutes", drift(answer)) +
           signal(answer, style.colour) + (study ? delays(*study, style.colour) : "");
}

std::string wave_csv(const WaveAnswer& answer) {
    std::string text = "time (s)";
    for (const auto& curve : answer.curves) {
        text +=
            fmt::format(",{} ({})", curve.name, curve.dimension == Dimension::voltage ? "V" : "A");
    }
    for (const auto& light : answer.lights) {
        text += fmt::format(",{} light ({})", light.name,
                            light.dimension == Dimension::current ? "A" : "lx");
    }
    text += "\r\n";
    for (std::size_t k = 0; k < answer.times.size(); ++k) {
        text += fmt::format("{:.9g}", answer.times[k]);
        for (const auto* list : {&answer.curves, &answer.lights}) {
            for (const auto& curve : *list) text += fmt::format(",{:.7g}", curve.values[k]);
        }
        text += "\r\n";
    }
    return text;
}

}  // namespace gapwright
