#include "report/words/bench_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/isolation_check.hpp"
#include "bench/reasoning/outlier.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/meter.hpp"
#include "report/bench_report.hpp"
#include "report/words/bench_points.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// Infinity, too, for what is finite but above the largest range.
double as_shown(const Meter& meter, const Measurement& m, double value) {
    return std::isinf(value) ? value : shown(meter, m.kind, value);
}

}  // namespace

std::string judgement_sign(Judgement judgement) {
    const char* sign = judgement == Judgement::in_band      ? "✓"
                       : judgement == Judgement::suspicious ? "!"
                                                            : "✗";
    return fmt::format("{} {}", sign, judgement_word(judgement));
}

std::string link_verdict_sign(LinkVerdict verdict) {
    const char* sign = verdict == LinkVerdict::good        ? "✓"
                       : verdict == LinkVerdict::undecided ? "!"
                                                           : "✗";
    return fmt::format("{} {}", sign, link_verdict_word(verdict));
}

std::string reading_words(const Meter& meter, const Measurement& m, double value) {
    // What somebody read above the range that is assumed was read all the same.
    const double read = as_shown(meter, m, value);
    if (std::isinf(value)) return "over range";
    return engineering(std::isinf(read) ? value : read, m.dimension());
}

std::string band_words(const Meter& meter, const Measurement& m, const ReadingBand& band) {
    const double low = as_shown(meter, m, band.lowest);
    const double high = as_shown(meter, m, band.highest);
    const double nominal = as_shown(meter, m, band.nominal);
    if (std::isinf(low)) return "over range";
    if (std::isinf(high)) return "above " + engineering_short(low, m.dimension(), 3);
    constexpr int most = 6;  // more no hand-held meter shows
    int digits = 3;
    const auto reads_alike = [&](double end) {
        return end != nominal && engineering(end, m.dimension(), digits) ==
                                     engineering(nominal, m.dimension(), digits);
    };
    while (digits < most && (reads_alike(low) || reads_alike(high))) ++digits;
    return engineering_range(low, high, m.dimension(), digits);
}

std::string hint_range(const Meter& meter, const Measurement& m, const ReadingBand& band,
                       const SheetHint& hint) {
    constexpr int digits = 2;  // a hint is coarse
    const Dimension dimension = m.dimension();
    const double low = as_shown(meter, m, hint.lowest);
    const double high = as_shown(meter, m, hint.highest);
    if (std::isinf(low)) return "over range";
    if (std::isinf(high)) return "above " + engineering_short(low, dimension, digits);
    // A hand that reads 30 µV where 700 mV should be thinks of nothing.
    constexpr double next_to_nothing = 0.01;  // of the band's nearest end
    const double least = std::min(std::abs(band.lowest), std::abs(band.highest));
    const double most = std::max(std::abs(low), std::abs(high));
    const bool crosses_zero = band.lowest <= 0 && band.highest >= 0;
    if (!crosses_zero && std::isfinite(least) && most < next_to_nothing * least) {
        return "about " + engineering_short(0, dimension);
    }
    const std::string range = engineering_range(low, high, dimension, digits);
    const bool one =
        engineering_short(low, dimension, digits) == engineering_short(high, dimension, digits);
    return one ? "about " + range : range;
}

std::string share_words(double share) {
    // Nearer to none or all, shares say more than a bench that knows nothing of them bears out
    // (docs/performance.md): of those above 90 % some 93 in 100 are right, however near to all.
    constexpr double least = 0.01;
    constexpr double most = 0.9;
    if (share < least) return "under " + percent(least);
    return share > most ? "over " + percent(most) : percent(share, 2);
}

std::string suspect_text(const FaultDictionary& dictionary, std::size_t suspect) {
    const std::string& text = dictionary.suspects[suspect];
    return text.empty() ? "no fault" : text;
}

std::string hint_suspects(const FaultDictionary& dictionary, const SheetHint& hint) {
    constexpr std::size_t most = 3;
    std::vector<std::string> words;
    for (const std::size_t s : hint.suspects) words.push_back(suspect_text(dictionary, s));
    const std::size_t told = words.size() > most + 1 ? most : words.size();
    const std::size_t others = words.size() - told;
    words.resize(told);
    if (others > 0) words.push_back(fmt::format("one of {} others", others));
    if (words.size() < 2) return words.front();
    return fmt::format("{}, or {}", fmt::join(std::span(words).first(words.size() - 1), ", "),
                       words.back());
}

namespace {

// "coil or Q1/R2", of the nodes at which a way across may end.
std::string ends_at(const Link& link, Side side, const std::vector<Node>& nodes) {
    std::vector<std::string> words;
    for (const Node node : nodes) words.push_back(node_word(link, side, node));
    return fmt::format("{} on the {} side", fmt::join(words, " or "), side_name(side));
}

std::string joined_sentence(const Link& link, const WayAcross& across) {
    std::string text = fmt::format("Do not switch on: the sides are joined by about {}",
                                   engineering_short(across.resistance, Dimension::resistance, 2));
    if (!across.input.empty() && !across.output.empty()) {
        text += fmt::format(", between {} and {}", ends_at(link, Side::input, across.input),
                            ends_at(link, Side::output, across.output));
    } else {
        text += "; the next readings, isolation node by node, tell between which";
    }
    return text +
           ". Look there for solder, a strip that is not cut, a wire or dirt; measure "
           "again before anything else.";
}

// A driver is read where its lead ends: what lies between no reading tells.
std::string driver_sentence(const Link& link, const BenchVerdict& verdict) {
    const auto& driver = verdict.suspects.front().driver;
    if (!driver) return "";
    return fmt::format(
        " Read at {}'s own pin before it is taken for dead: a lead that is broken between it and "
        "the board reads the same.",
        link.parts[*driver].name);
}

std::string faulty_sentence(const Link& link, const BenchVerdict& verdict) {
    std::vector<std::string> alike;
    for (const auto& suspect : verdict.suspects) {
        if (alike.empty() || suspect.alike) alike.push_back(suspect.text);
    }
    return (alike.size() == 1
                ? fmt::format("A fault: {}.", alike.front())
                : fmt::format("One of these, which no further reading tells apart: {}.",
                              fmt::join(alike, "; "))) +
           driver_sentence(link, verdict);
}

// What keeps a link from being called good, or one fault from being named.
std::string open_sentence(const BenchVerdict& verdict) {
    if (verdict.again && verdict.next) {
        return "Not decided: one reading does not go with the others.";
    }
    constexpr double ahead = 0.9;
    if (verdict.next && !verdict.suspects.empty() && verdict.suspects.front().share >= ahead) {
        return "One explanation is far ahead; another reading comes before it is named.";
    }
    if (verdict.next) return "Not decided: the readings leave more than one explanation.";
    constexpr double told = 0.03;
    std::vector<std::string> open;
    for (const auto& suspect : verdict.suspects) {
        if (suspect.share >= told) {
            open.push_back(fmt::format("{} ({})", suspect.text, share_words(suspect.share)));
        }
    }
    if (verdict.unexplained >= told) {
        open.push_back(fmt::format("something else ({})", share_words(verdict.unexplained)));
    }
    return fmt::format(
        "Not decided, and no further reading is expected to tell much. What stands open: {}.",
        fmt::join(open, "; "));
}

}  // namespace

std::string verdict_sentence(const Link& link, const BenchVerdict& verdict) {
    std::string text;
    switch (verdict.verdict) {
        case LinkVerdict::good:
            text =
                "The readings are those of a good link, and the sides are apart. A joint that "
                "comes "
                "and goes shows only if it is moved while the meter looks.";
            if (!verdict.unseen.empty()) {
                text += fmt::format(" No reading would show: {}.", fmt::join(verdict.unseen, "; "));
            }
            break;
        case LinkVerdict::undecided:
            text = open_sentence(verdict);
            break;
        case LinkVerdict::faulty:
            text = faulty_sentence(link, verdict);
            break;
        case LinkVerdict::joined:
            return joined_sentence(link, *verdict.isolation.across);
        case LinkVerdict::unexplained:
            text =
                "None of the faults known here explains the readings. Take the furthest out of "
                "them again, and compare the link with its schematic.";
            break;
    }
    if (!verdict.isolation.whole) {
        text += verdict.isolation.begun
                    ? " Whether the sides are apart was not measured every way: do the rest before "
                      "the power is on."
                    : " Whether the sides are apart was not measured: do that before the power is "
                      "on.";
    }
    if (verdict.two_faults) {
        text += " No single fault explains the readings well, so pairs of faults were looked at.";
    }
    return text;
}

std::string again_words(const BenchAnswer& answer) {
    const Outlier& outlier = *answer.verdict->again;
    const TakenReading& reading = answer.verdict->readings[outlier.reading].reading;
    const Measurement& m = answer.dictionary.measurements[reading.measurement];
    std::string text =
        fmt::format("Please read {} again: {} goes with none of what the others say", m.measure,
                    reading_words(answer.dictionary.meter, m, reading.value));
    if (outlier.slip) {
        text += fmt::format("; {} would, if the decimal sign or the prefix slipped",
                            engineering_short(*outlier.slip, m.dimension(), 3));
    }
    return text + ".";
}

std::string suspect_reason(const BenchVerdict& verdict, std::size_t suspect) {
    const SuspectWords& words = verdict.suspects[suspect];
    std::string text = fmt::format("explains {} of {} reading{}", words.explained, words.readings,
                                   words.readings == 1 ? "" : "s");
    if (suspect > 0 && words.alike) text += "; no further reading tells it from the first";
    return text;
}

std::string next_words(const BenchAnswer& answer) {
    const FaultDictionary& dictionary = answer.dictionary;
    const std::size_t next = answer.verdict->next->measurement;
    const Measurement& m = dictionary.measurements[next];
    const LeadPoints leads = MeterPoints(answer.link, answer.holes).of(m);
    const auto place = [](const MeterPoint& point) {
        const std::string holes = point.hole_words();
        return holes.empty() ? point.name : fmt::format("{} ({})", point.name, holes);
    };
    return fmt::format("{}{}; red lead: {}; black lead: {}; good links read {}", m.measure,
                       m.state == unpowered ? ", unpowered" : " in state " + m.state,
                       place(leads.red), place(leads.black),
                       band_words(dictionary.meter, m, answer.bands.at(next)));
}

}  // namespace gapwright
