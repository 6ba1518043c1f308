// What `gapwright bench` prints.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/isolation_check.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "link/link.hpp"
#include "report/bench_report.hpp"
#include "report/text/text_table.hpp"
#include "report/words/bench_points.hpp"
#include "report/words/bench_words.hpp"
#include "report/words/words.hpp"
#include "source/terminal_text.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr std::size_t columns = 100;

// A sign in the colours of verdicts, which stand for the same three things.
std::string shown_sign(std::string_view sign, bool colour) {
    if (!colour) return std::string(sign);
    return emphasised(sign, sign.starts_with("✓")   ? Emphasis::good
                            : sign.starts_with("!") ? Emphasis::doubtful
                                                    : Emphasis::bad);
}

// Words broken at blanks so that lines keep within the terminal's width.
std::string wrapped(std::string_view words, std::string_view first, std::string_view further) {
    std::string text(first);
    std::size_t width = width_of(first);
    bool line_begins = true;
    while (!words.empty()) {
        const std::size_t end = std::min(words.find(' '), words.size());
        const std::string_view word = words.substr(0, end);
        words.remove_prefix(std::min(end + 1, words.size()));
        if (!line_begins && width + 1 + width_of(word) > columns) {
            text += fmt::format("\n{}", further);
            width = width_of(further);
            line_begins = true;
        }
        text += fmt::format("{}{}", line_begins ? "" : " ", word);
        width += width_of(word) + (line_begins ? 0 : 1);
        line_begins = false;
    }
    return text + "\n";
}

std::string item(std::string_view words) {
    return wrapped(words, "  - ", "    ");
}

std::string items(const std::vector<std::string>& lines) {
    std::string text;
    for (const auto& line : lines) text += item(line);
    return text;
}

// One table, so that columns keep their places from section to section: its head, then a line for
// each line of the sheet.
std::vector<std::string> rows(const BenchAnswer& answer, const MeterPoints& points) {
    const FaultDictionary& dictionary = answer.dictionary;
    Table table({true, false, false, false, true, false});
    table.add({"", "measure", "red lead", "black lead", "nominal", "good links read"});
    for (std::size_t k = 0; k < answer.sheet.lines.size(); ++k) {
        const SheetLine& line = answer.sheet.lines[k];
        const Measurement& m = dictionary.measurements[line.measurement];
        const LeadPoints leads = points.of(m);
        table.add({std::to_string(k + 1), m.measure, leads.red.name, leads.black.name,
                   reading_words(dictionary.meter, m, line.band.nominal),
                   band_words(dictionary.meter, m, line.band)});
    }
    std::vector<std::string> lines;
    const std::string text = table.text();
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = text.find('\n', at);
        lines.push_back(text.substr(at, end + 1 - at));
        at = end + 1;
    }
    return lines;
}

// The likeliest alone: the page has them all.
std::string hint(const FaultDictionary& dictionary, const SheetLine& line) {
    if (line.hints.empty() || line.hints.front().suspects.empty()) return {};
    const SheetHint& first = line.hints.front();
    std::string words = fmt::format(
        "{}: {}",
        hint_range(dictionary.meter, dictionary.measurements[line.measurement], line.band, first),
        suspect_text(dictionary, first.suspects.front()));
    if (first.suspects.size() > 1) {
        words += fmt::format(", or {} other{}", first.suspects.size() - 1,
                             first.suspects.size() == 2 ? "" : "s");
    }
    return fmt::format("       {}\n", words);
}

std::string sheet(const BenchAnswer& answer, const MeterPoints& points, bool colour) {
    const auto lines = rows(answer, points);
    std::string text = "\n" + lines.front();
    for (const auto& section : sheet_sections(answer)) {
        text += wrapped(fmt::format("({})", section.how),
                        shown_heading(section.title, colour) + " ", "  ");
        for (const std::size_t k : section.lines) {
            text += lines[k + 1] + hint(answer.dictionary, answer.sheet.lines[k]);
        }
    }
    return text;
}

// Each point once, in the order of the sheet.
std::string where_leads_go(const BenchAnswer& answer, const MeterPoints& points, bool colour) {
    Table table({false, false, false});
    std::vector<std::string> told;
    const auto add = [&](const MeterPoint& point) {
        if (point.pins.empty() || std::ranges::find(told, point.name) != told.end()) return;
        told.push_back(point.name);
        table.add({point.name, point.pin_words(), point.hole_words()});
    };
    std::vector<std::string> opened;
    for (const auto& line : answer.sheet.lines) {
        const LeadPoints leads = points.of(answer.dictionary.measurements[line.measurement]);
        add(leads.red);
        add(leads.black);
        const std::string told_of = leads.opened;
        const bool known = std::ranges::find(opened, told_of) != opened.end();
        if (!leads.opened.empty() && !known) opened.push_back(told_of);
    }
    return shown_section("Where the leads go", table.empty() ? "" : table.text(), colour) +
           items(opened);
}

std::string unseen(const BenchAnswer& answer) {
    std::string text;
    for (const std::size_t s : answer.sheet.unseen) {
        text += item(suspect_text(answer.dictionary, s));
    }
    return text;
}

std::string readings(const FaultDictionary& dictionary, const BenchVerdict& verdict, bool colour) {
    if (verdict.readings.empty()) return {};
    Table table({false, false, true, false, false});
    table.add({"measure", "state", "reading", "good links read", "judgement"});
    for (const auto& judged : verdict.readings) {
        const Measurement& m = dictionary.measurements[judged.reading.measurement];
        const std::string turned =
            judged.wrong_sign ? ": right size, wrong sign; are the leads exchanged?" : "";
        table.add({m.measure, m.state, reading_words(dictionary.meter, m, judged.reading.value),
                   band_words(dictionary.meter, m, judged.band),
                   shown_sign(judgement_sign(judged.judgement), colour) + turned});
    }
    return table.text();
}

std::string suspects(const BenchVerdict& verdict) {
    if (verdict.suspects.empty()) return {};
    Table table({true, false, false});
    for (std::size_t k = 0; k < verdict.suspects.size(); ++k) {
        table.add({share_words(verdict.suspects[k].share), verdict.suspects[k].text,
                   suspect_reason(verdict, k)});
    }
    table.add({share_words(verdict.unexplained), "something else", ""});
    return table.text();
}

std::string point_words(const MeterPoint& point) {
    std::string words = point.name;
    for (const auto& more : {point.hole_words(), point.pin_words()}) {
        if (!more.empty()) words += ", " + more;
    }
    return words;
}

}  // namespace

std::string names_text(const Link& link, const std::vector<Measurement>& measurements) {
    Table table({false, false, false});
    table.add({"state", "measure", "or"});
    for (const Measurement& m : measurements) {
        const bool off = m.state == unpowered;
        // Once for all states of the link: they have the same measures.
        if (!off && m.state != link.states.front().name) continue;
        table.add({off ? std::string(unpowered) : "each state", m.measure,
                   fmt::format("{}", fmt::join(m.also, ", "))});
    }
    return table.text();
}

std::string cautions_text(const Link& link, bool colour) {
    return shown_section("Cautions", items(bench_cautions(link)), colour);
}

// The last reading, and the first few suspects.
std::string session_text(const BenchAnswer& answer, bool colour) {
    const FaultDictionary& dictionary = answer.dictionary;
    const BenchVerdict& verdict = *answer.verdict;
    const JudgedReading& last = verdict.readings.back();
    const Measurement& m = dictionary.measurements[last.reading.measurement];
    std::string text = fmt::format("  {} ({} reads {}; good links {})\n",
                                   shown_sign(judgement_sign(last.judgement), colour), m.measure,
                                   reading_words(dictionary.meter, m, last.reading.value),
                                   band_words(dictionary.meter, m, last.band));
    if (last.wrong_sign) text += item("Right size, wrong sign: are the leads exchanged?");
    constexpr std::size_t few = 3;
    for (std::size_t k = 0; k < verdict.suspects.size() && k < few; ++k) {
        text += fmt::format("  {:>5}  {}, {}\n", share_words(verdict.suspects[k].share),
                            verdict.suspects[k].text, suspect_reason(verdict, k));
    }
    return text;
}

std::string asking_text(const Link& link, const NodeHoles& holes, const Measurement& m) {
    const bool off = m.state == unpowered;
    const LeadPoints leads = MeterPoints(link, holes).of(m);
    std::string text = fmt::format("{}, {} ({})\n", m.measure,
                                   off ? "unpowered" : "state " + m.state, setting_words(link, m));
    if (crosses_gap(m)) {
        text += item(
            "touch the leads together first: the meter shows next to 0 Ω, or it is not "
            "set for this");
    }
    if (!leads.opened.empty()) {
        text += item("with the power off: " + leads.opened);
        if (m.kind == MeasurementKind::current) {
            text += item("put the meter's lead back into the socket for voltages afterwards");
        }
    }
    return text + item("red lead: " + point_words(leads.red)) +
           item("black lead: " + point_words(leads.black));
}

std::string isolation_text(const Measurement& m, double value, bool colour) {
    if (!is_a_way_across(m, value)) {
        return fmt::format("  {} (nothing goes from side to side here)\n",
                           shown_sign(judgement_sign(Judgement::in_band), colour));
    }
    return fmt::format("  {} The sides are joined by about {}: do not switch on.\n",
                       shown_sign(judgement_sign(Judgement::wrong), colour),
                       engineering_short(value, Dimension::resistance, 2));
}

std::string bench_text(const BenchAnswer& answer, bool colour) {
    const auto section = [&](std::string_view title, const std::string& text) {
        return shown_section(title, text, colour);
    };
    const std::string title = shown_title(answer.link);
    if (const auto& verdict = answer.verdict) {
        return fmt::format("{}: {}\n", title,
                           shown_sign(link_verdict_sign(verdict->verdict), colour)) +
               section("Readings", readings(answer.dictionary, *verdict, colour)) +
               section("Verdict",
                       wrapped(verdict_sentence(answer.link, *verdict), "  ", "  ") +
                           (verdict->again ? wrapped(again_words(answer), "  ", "  ") : "")) +
               section("Suspects", suspects(*verdict)) +
               (verdict->next ? "\n" + wrapped("Next: " + next_words(answer) + ".", "", "  ")
                              : "") +
               section("As measured", items(answer.built));
    }
    const MeterPoints points(answer.link, answer.holes);
    return title + ": test sheet\n" + cautions_text(answer.link, colour) +
           sheet(answer, points, colour) + where_leads_go(answer, points, colour) +
           section("Look at as well", items(answer.sheet.checks)) +
           section("What this sheet does not see", unseen(answer)) +
           section("What the bands hold for", items(band_conditions(answer)));
}

}  // namespace gapwright
