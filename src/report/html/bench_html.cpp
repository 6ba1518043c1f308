#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "link/link.hpp"
#include "report/bench_report.hpp"
#include "report/html/html_writer.hpp"
#include "report/words/bench_points.hpp"
#include "report/words/bench_words.hpp"

namespace gapwright {
namespace {

constexpr std::string_view tick_box =
    "<span class=\"square\" role=\"img\" aria-label=\"to tick\"></span>";

// Signs share the classes of verdicts, which stand for the same three things.
std::string_view css_of(std::string_view sign) {
    return sign.starts_with("✓") ? "kept" : sign.starts_with("!") ? "thin" : "broken";
}

std::string words(const std::string& text) {
    return HtmlWriter::text(HtmlWriter::unbroken(text));
}

void title_block(HtmlWriter& html, const BenchAnswer& answer, const std::string& title) {
    html.put(fmt::format("<header>\n<h1>{}: test sheet</h1>\n<p class=\"about\">{}</p>\n",
                         HtmlWriter::text(title), HtmlWriter::text(answer.link.about)));
    if (answer.verdict) {
        const std::string sign = link_verdict_sign(answer.verdict->verdict);
        html.put(fmt::format("<p class=\"verdict {}\">Link: <strong>{}</strong></p>\n",
                             css_of(sign), sign));
    }
    html.put("<dl class=\"block\">\n");
    html.field("Link file", std::filesystem::path(answer.link.file).filename().string());
    for (const char* blank : {"Name", "Date", "Meter"}) {
        html.put(fmt::format("<div><dt>{}</dt><dd class=\"blank\"></dd></div>\n", blank));
    }
    html.put(
        "</dl>\n<p class=\"use\">Set the link as each heading says, hold the leads where the "
        "line says, and write what the meter shows into the box. Tick a reading that lies in "
        "its band; of one that does not, the small type beneath names the likeliest "
        "faults.</p>\n</header>\n");
}

void section_of(HtmlWriter& html, std::string_view name, const std::vector<std::string>& lines) {
    if (lines.empty()) return;
    html.put(fmt::format("<section class=\"small\">\n<h2>{}</h2>\n", name));
    html.list(lines);
    html.put("</section>\n");
}

void cautions(HtmlWriter& html, const BenchAnswer& answer) {
    html.put("<section class=\"cautions\">\n<h2>Cautions</h2>\n");
    html.list(bench_cautions(answer.link));
    html.put("</section>\n");
}

// Of what meets there a hand needs the holes or, without a board's plan, the pins.
std::string place(const MeterPoint& point) {
    const std::string small = point.holes.empty() ? point.pin_words() : point.hole_words();
    const std::string beneath =
        small.empty() ? "" : fmt::format("<br/><small>{}</small>", words(small));
    return fmt::format("<td>{}{}</td>", words(point.name), beneath);
}

// What was read of that measurement, if anything.
const JudgedReading* reading_of(const BenchAnswer& answer, std::size_t m) {
    if (!answer.verdict) return nullptr;
    const auto& readings = answer.verdict->readings;
    const auto found = std::ranges::find(
        readings, m, [](const JudgedReading& r) { return r.reading.measurement; });
    return found == readings.end() ? nullptr : &*found;
}

void hints(HtmlWriter& html, const FaultDictionary& dictionary, const SheetLine& line,
           const Measurement& m) {
    std::vector<std::string> told;
    for (const auto& hint : line.hints) {
        if (hint.suspects.empty()) continue;
        told.push_back(fmt::format("{}: {}", hint_range(dictionary.meter, m, line.band, hint),
                                   hint_suspects(dictionary, hint)));
    }
    if (told.empty()) return;
    html.put(
        fmt::format("<tr class=\"hints\"><td></td><td colspan=\"7\">If it reads {}.</td></tr>\n",
                    words(fmt::format("{}", fmt::join(told, ". If ")))));
}

void line(HtmlWriter& html, const BenchAnswer& answer, const MeterPoints& points, std::size_t k) {
    const SheetLine& line = answer.sheet.lines[k];
    const Measurement& m = answer.dictionary.measurements[line.measurement];
    const LeadPoints leads = points.of(m);
    const JudgedReading* read = reading_of(answer, line.measurement);
    const std::string sign = read ? judgement_sign(read->judgement) : std::string();
    html.put(fmt::format("<tr class=\"{}\">", read ? css_of(sign) : "line"));
    std::string what = words(m.measure);
    if (!leads.opened.empty()) {
        what += fmt::format("<br/><small>{}</small>", words(leads.opened));
    }
    html.put(
        fmt::format("<td>{}</td><td>{}</td>{}{}<td class=\"whole\">{}</td>"
                    "<td class=\"whole\">{}</td>",
                    k + 1, what, place(leads.red), place(leads.black),
                    words(reading_words(answer.dictionary.meter, m, line.band.nominal)),
                    words(band_words(answer.dictionary.meter, m, line.band))));
    html.put(fmt::format(
        "<td><span class=\"entry\">{}</span></td><td class=\"whole\">{}</td></tr>\n",
        read ? words(reading_words(answer.dictionary.meter, m, read->reading.value)) : "",
        read ? sign : tick_box));
    hints(html, answer.dictionary, line, m);
}

void sheet(HtmlWriter& html, const BenchAnswer& answer) {
    const MeterPoints points(answer.link, answer.holes);
    html.put("<section class=\"test-sheet\">\n<h2>Measurements</h2>\n");
    html.put(
        "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"Measurements\">\n"
        "<table>\n<caption>Measurements</caption>\n<thead><tr>");
    for (const char* column : {"No.", "Measure", "Red lead", "Black lead", "Nominal",
                               "Good links read", "Reading", "In band"}) {
        html.put(fmt::format("<th scope=\"col\">{}</th>", column));
    }
    html.put("</tr></thead>\n");
    for (const auto& section : sheet_sections(answer)) {
        html.put(
            fmt::format("<tbody>\n<tr class=\"setting\"><th scope=\"rowgroup\" colspan=\"8\">{} "
                        "<small>{}</small></th></tr>\n",
                        words(section.title), words(section.how)));
        for (const std::size_t k : section.lines) line(html, answer, points, k);
        html.put("</tbody>\n");
    }
    html.put("</table>\n</div>\n</section>\n");
}

void checks(HtmlWriter& html, const BenchAnswer& answer) {
    if (answer.sheet.checks.empty()) return;
    html.put("<section>\n<h2>Look at as well</h2>\n<ul class=\"checks\">\n");
    for (const auto& check : answer.sheet.checks) {
        html.put(fmt::format("<li>{} {}</li>\n", tick_box, words(check)));
    }
    html.put("</ul>\n</section>\n");
}

std::vector<std::string> unseen(const BenchAnswer& answer) {
    std::vector<std::string> lines;
    for (const std::size_t s : answer.sheet.unseen) {
        lines.push_back(suspect_text(answer.dictionary, s));
    }
    if (lines.empty()) return lines;
    return {fmt::format("{}.", fmt::join(lines, "; "))};
}

bool on_sheet(const BenchAnswer& answer, std::size_t m) {
    return std::ranges::find(answer.sheet.lines, m, &SheetLine::measurement) !=
           answer.sheet.lines.end();
}

// Readings that have no line below.
void further_readings(HtmlWriter& html, const BenchAnswer& answer, const BenchVerdict& verdict) {
    const auto is_further = [&](const JudgedReading& r) {
        return !on_sheet(answer, r.reading.measurement);
    };
    if (std::ranges::none_of(verdict.readings, is_further)) return;
    html.put("<h3>Readings beside the sheet</h3>\n");
    html.table_head({"Measure", "State", "Reading", "Good links read", "Judgement"},
                    "Readings beside the sheet");
    for (const auto& judged : verdict.readings) {
        if (!is_further(judged)) continue;
        const Measurement& m = answer.dictionary.measurements[judged.reading.measurement];
        const std::string sign = judgement_sign(judged.judgement);
        html.table_row(
            {m.measure, m.state, reading_words(answer.dictionary.meter, m, judged.reading.value),
             band_words(answer.dictionary.meter, m, judged.band), std::string(sign)},
            css_of(sign));
    }
    html.table_end();
}

void what_readings_say(HtmlWriter& html, const BenchAnswer& answer, const BenchVerdict& verdict) {
    html.put(fmt::format("<section>\n<h2>What the readings say</h2>\n<p>{}</p>\n",
                         words(verdict_sentence(answer.link, verdict))));
    if (!verdict.suspects.empty()) {
        html.table_head({"Share", "Suspect", "Why"}, "Suspects");
        for (std::size_t k = 0; k < verdict.suspects.size(); ++k) {
            html.table_row({share_words(verdict.suspects[k].share), verdict.suspects[k].text,
                            suspect_reason(verdict, k)});
        }
        html.table_row({share_words(verdict.unexplained), "something else", ""});
        html.table_end();
    }
    if (verdict.next) {
        html.put(fmt::format("<p><strong>Next:</strong> {}.</p>\n", words(next_words(answer))));
    }
    further_readings(html, answer, verdict);
    html.put("</section>\n");
}

}  // namespace

std::string bench_html(const BenchAnswer& answer) {
    const Link& link = answer.link;
    const std::string title = link.title.empty() ? link.file : link.title;
    HtmlWriter html;
    html.head(title + ": test sheet");
    title_block(html, answer, title);
    cautions(html, answer);
    if (answer.verdict) what_readings_say(html, answer, *answer.verdict);
    section_of(html, "As measured", answer.built);
    sheet(html, answer);
    checks(html, answer);
    section_of(html, "What this sheet does not see", unseen(answer));
    section_of(html, "What the bands hold for", band_conditions(answer));
    return html.finish();
}

}  // namespace gapwright
