#include "app/bench_prompt.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <istream>
#include <optional>
#include <string>
#include <vector>

#include "app/terminal.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_value.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/isolation_check.hpp"
#include "bench/sessions/guided_session.hpp"
#include "card/key.hpp"
#include "link/link.hpp"
#include "report/bench_report.hpp"
#include "report/words/bench_words.hpp"
#include "source/display.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

constexpr const char* help =
    "Type what the meter shows, with its unit: 36 mV, 10.2 kΩ, over range.\n"
    "  skip   what cannot be measured; another measurement is asked for\n"
    "  back   takes the last reading back\n"
    "  end    ends the session; what was read is kept\n";

bool beyond_supplies(const Link& link, const Measurement& m, double value) {
    const auto& supply = link.side(m.side).supply;
    constexpr double far = 1.2;
    return m.kind == MeasurementKind::voltage && supply &&
           std::abs(value) > far * supply->at(Key::voltage).spread.highest;
}

// What a person typed when asked for a reading.
struct Typed {
    enum class What { reading, skip, back, end };
    What what = What::end;
    double value = 0;  // of a reading
};

// Asks until it is one of these. `any` is whether there is a reading to take back.
Typed ask(const Link& link, const Measurement& m, bool any, std::istream& in, const Say& say) {
    std::string line;
    while (say("> ")) {
        if (!std::getline(in, line)) {
            say("\n");
            return {};
        }
        const auto first = line.find_first_not_of(" \t\r");
        if (first == std::string::npos) continue;
        line = printable(line.substr(first, line.find_last_not_of(" \t\r") - first + 1));
        if (line == "end") return {};
        if (line == "skip") return {.what = Typed::What::skip};
        if (line == "back" && any) return {.what = Typed::What::back};
        if (line == "back") {
            say("  nothing was read yet\n");
            continue;
        }
        if (line == "help" || line == "?") {
            say(help);
            continue;
        }
        const auto value = parse_reading_value(line, m);
        if (!value) {
            const std::string& remedy = value.error().remedy;
            say(fmt::format("  {}{}{}\n", value.error().message, remedy.empty() ? "" : "; ",
                            remedy));
            continue;
        }
        // A plain 36 may be volts or millivolts: the display says which.
        const bool plain = line.find_first_not_of("+-−0123456789.,eE") == std::string::npos;
        if (plain && *value != 0) {
            say(fmt::format("  with its unit, please: {0} {1}, or {0} m{1}?\n", line,
                            dimension_unit(m.dimension())));
            continue;
        }
        if (beyond_supplies(link, m, *value)) {
            say("  That is more than its supply gives: if that is what the meter "
                "shows, good; look at its range.\n");
        }
        return {.what = Typed::What::reading, .value = *value};
    }
    return {};
}

void take(const Typed& typed, std::size_t asked, Prompted& so_far) {
    switch (typed.what) {
        case Typed::What::reading:
            so_far.readings.push_back({.measurement = asked, .value = typed.value});
            break;
        case Typed::What::skip:
            so_far.not_measurable.push_back(asked);
            break;
        case Typed::What::back:
            so_far.readings.pop_back();
            break;
        case Typed::What::end:
            so_far.ended = true;
            break;
    }
}

std::string asking(std::size_t before, const Link& link, const NodeHoles& holes,
                   const Measurement& m) {
    return fmt::format("\n{}. {}", before + 1, asking_text(link, holes, m));
}

std::string ending(const BenchVerdict& verdict) {
    switch (verdict.verdict) {
        case LinkVerdict::joined:
            return "\nThe session ends here: nothing is switched on while the sides are "
                   "joined.\n\n";
        case LinkVerdict::good:
        case LinkVerdict::faulty:
            return "\nThat is enough.\n\n";
        case LinkVerdict::undecided:
        case LinkVerdict::unexplained:
            break;
    }
    return "\nNothing that is left to measure tells much more.\n\n";
}

}  // namespace

Prompted prompt_for_isolation(const Link& link, const NodeHoles& holes, Prompted so_far,
                              std::istream& in, const Say& say) {
    if (!say(cautions_text(link, wants_colour()) +
             "\nA guided session: whether the sides are apart, then each reading the one expected "
             "to tell most for its trouble.\n" +
             help)) {
        so_far.ended = true;
    }
    const auto measurements = measurements_of(link);
    auto& [readings, skipped, ended] = so_far;
    while (!ended) {
        const auto next = check_isolation(measurements, link.meter, readings, skipped).next;
        if (!next) break;
        const Measurement& m = measurements[*next];
        say(asking(readings.size(), link, holes, m));
        const Typed typed = ask(link, m, !readings.empty(), in, say);
        take(typed, *next, so_far);
        if (typed.what == Typed::What::reading) {
            say(isolation_text(m, typed.value, wants_colour()));
        }
    }
    return so_far;
}

Prompted prompt_for_readings(BenchAnswer answer, const SessionOptions& session_options,
                             Prompted so_far, std::istream& in, const Say& say) {
    auto& [readings, skipped, ended] = so_far;
    SessionOptions session = session_options;
    std::size_t told = readings.size();  // of the readings, those that something was said about
    while (!ended) {
        session.not_measurable = skipped;
        answer.verdict =
            bench_verdict(answer.link, answer.dictionary, answer.bands, readings, session);
        if (readings.size() > told) say(session_text(answer, wants_colour()));
        told = readings.size();
        const auto& proposal = answer.verdict->next;
        if (!proposal) {
            say(ending(*answer.verdict));
            break;
        }
        const std::size_t next = proposal->measurement;
        const Measurement& m = answer.dictionary.measurements[next];
        if (answer.verdict->again) say("\n" + again_words(answer) + "\n");
        say(asking(readings.size(), answer.link, answer.holes, m));
        const Typed typed = ask(answer.link, m, !readings.empty(), in, say);
        // One that is not read again stands as it was.
        if (typed.what == Typed::What::skip && answer.verdict->again) {
            readings.push_back(answer.verdict->readings[answer.verdict->again->reading].reading);
        } else {
            take(typed, next, so_far);
        }
    }
    return so_far;
}

}  // namespace gapwright
