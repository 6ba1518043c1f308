#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "bench/bench_verdict.hpp"
#include "bench/measurement.hpp"
#include "bench/test_sheet.hpp"
#include "link/link.hpp"
#include "link/meter.hpp"
#include "report/bench_points.hpp"
#include "report/bench_report.hpp"
#include "report/bench_words.hpp"
#include "report/html_writer.hpp"

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

class Page {
  public:
    explicit Page(const BenchAnswer& answer)
        : answer_(answer),
          dictionary_(answer.dictionary),
          meter_(answer.dictionary.meter),
          points_(answer.link, answer.holes) {}

    std::string write() {
        const Link& link = answer_.link;
        const std::string title = link.title.empty() ? link.file : link.title;
        html_.head(title + ": test sheet");
        title_block(title);
        cautions();
        if (answer_.verdict) verdict(*answer_.verdict);
        section_of("As measured", answer_.built);
        sheet();
        checks();
        section_of("What this sheet does not see", unseen());
        section_of("What the bands hold for", band_conditions(answer_));
        return html_.finish();
    }

  private:
    const Measurement& measurement(std::size_t m) const { return dictionary_.measurements[m]; }

    void title_block(const std::string& title) {
        html_.put(fmt::format("<header>\n<h1>{}: test sheet</h1>\n<p class=\"about\">{}</p>\n",
                              HtmlWriter::text(title), HtmlWriter::text(answer_.link.about)));
        if (answer_.verdict) {
            const std::string sign = link_verdict_sign(answer_.verdict->verdict);
            html_.put(fmt::format("<p class=\"verdict {}\">Link: <strong>{}</strong></p>\n",
                                  css_of(sign), sign));
        }
        html_.put("<dl class=\"block\">\n");
        html_.field("Link file", std::filesystem::path(answer_.link.file).filename().string());
        for (const char* blank : {"Name", "Date", "Meter"}) {
            html_.put(fmt::format("<div><dt>{}</dt><dd class=\"blank\"></dd></div>\n", blank));
        }
        html_.put(
            "</dl>\n<p class=\"use\">Set the link as each heading says, hold the leads where the "
            "line says, and write what the meter shows into the box. Tick a reading that lies in "
            "its band; of one that does not, the small type beneath names the likeliest "
            "faults.</p>\n</header>\n");
    }

    void section_of(std::string_view name, const std::vector<std::string>& lines) {
        if (lines.empty()) return;
        html_.put(fmt::format("<section class=\"small\">\n<h2>{}</h2>\n", name));
        html_.list(lines);
        html_.put("</section>\n");
    }

    void cautions() {
        html_.put("<section class=\"cautions\">\n<h2>Cautions</h2>\n");
        html_.list(bench_cautions(answer_));
        html_.put("</section>\n");
    }

    // Of what meets there a hand needs the holes or, without a board's plan, the pins.
    static std::string place(const MeterPoint& point) {
        const std::string small = point.holes.empty() ? point.pin_words() : point.hole_words();
        const std::string beneath =
            small.empty() ? "" : fmt::format("<br/><small>{}</small>", words(small));
        return fmt::format("<td>{}{}</td>", words(point.name), beneath);
    }

    // What was read of that measurement, if anything.
    const JudgedReading* reading_of(std::size_t m) const {
        if (!answer_.verdict) return nullptr;
        const auto& readings = answer_.verdict->readings;
        const auto found = std::ranges::find(
            readings, m, [](const JudgedReading& r) { return r.reading.measurement; });
        return found == readings.end() ? nullptr : &*found;
    }

    void line(std::size_t k) {
        const SheetLine& line = answer_.sheet.lines[k];
        const Measurement& m = measurement(line.measurement);
        const LeadPoints leads = points_.of(m);
        const JudgedReading* read = reading_of(line.measurement);
        const std::string sign = read ? judgement_sign(read->judgement) : std::string();
        html_.put(fmt::format("<tr class=\"{}\">", read ? css_of(sign) : "line"));
        std::string what = words(m.measure);
        if (!leads.opened.empty()) {
            what += fmt::format("<br/><small>{}</small>", words(leads.opened));
        }
        html_.put(
            fmt::format("<td>{}</td><td>{}</td>{}{}<td class=\"whole\">{}</td>"
                        "<td class=\"whole\">{}</td>",
                        k + 1, what, place(leads.red), place(leads.black),
                        words(reading_words(meter_, m, line.band.nominal)),
                        words(band_words(meter_, m, line.band))));
        html_.put(fmt::format(
            "<td><span class=\"entry\">{}</span></td><td class=\"whole\">{}</td></tr>\n",
            read ? words(reading_words(meter_, m, read->reading.value)) : "",
            read ? sign : tick_box));
        hints(line, m);
    }

    void hints(const SheetLine& line, const Measurement& m) {
        std::vector<std::string> told;
        for (const auto& hint : line.hints) {
            if (hint.suspects.empty()) continue;
            told.push_back(fmt::format("{}: {}", hint_range(meter_, m, line.band, hint),
                                       hint_suspects(dictionary_, hint)));
        }
        if (told.empty()) return;
        html_.put(fmt::format(
            "<tr class=\"hints\"><td></td><td colspan=\"7\">If it reads {}.</td></tr>\n",
            words(fmt::format("{}", fmt::join(told, ". If ")))));
    }

    void sheet() {
        html_.put("<section class=\"test-sheet\">\n<h2>Measurements</h2>\n");
        html_.put(
            "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"Measurements\">\n"
            "<table>\n<caption>Measurements</caption>\n<thead><tr>");
        for (const char* column : {"No.", "Measure", "Red lead", "Black lead", "Nominal",
                                   "Good links read", "Reading", "In band"}) {
            html_.put(fmt::format("<th scope=\"col\">{}</th>", column));
        }
        html_.put("</tr></thead>\n");
        for (const auto& section : sheet_sections(answer_)) {
            html_.put(fmt::format(
                "<tbody>\n<tr class=\"setting\"><th scope=\"rowgroup\" colspan=\"8\">{} "
                "<small>{}</small></th></tr>\n",
                words(section.title), words(section.how)));
            for (const std::size_t k : section.lines) line(k);
            html_.put("</tbody>\n");
        }
        html_.put("</table>\n</div>\n</section>\n");
    }

    void checks() {
        if (answer_.sheet.checks.empty()) return;
        html_.put("<section>\n<h2>Look at as well</h2>\n<ul class=\"checks\">\n");
        for (const auto& check : answer_.sheet.checks) {
            html_.put(fmt::format("<li>{} {}</li>\n", tick_box, words(check)));
        }
        html_.put("</ul>\n</section>\n");
    }

    std::vector<std::string> unseen() const {
        std::vector<std::string> lines;
        for (const std::size_t s : answer_.sheet.unseen) {
            lines.push_back(suspect_text(dictionary_, s));
        }
        if (lines.empty()) return lines;
        return {fmt::format("{}.", fmt::join(lines, "; "))};
    }

    bool on_sheet(std::size_t m) const {
        return std::ranges::find(answer_.sheet.lines, m, &SheetLine::measurement) !=
               answer_.sheet.lines.end();
    }

    // Readings that have no line below.
    void further_readings(const BenchVerdict& verdict) {
        const auto is_further = [&](const JudgedReading& r) {
            return !on_sheet(r.reading.measurement);
        };
        if (std::ranges::none_of(verdict.readings, is_further)) return;
        html_.put("<h3>Readings beside the sheet</h3>\n");
        html_.table_head({"Measure", "State", "Reading", "Good links read", "Judgement"},
                         "Readings beside the sheet");
        for (const auto& judged : verdict.readings) {
            if (!is_further(judged)) continue;
            const Measurement& m = measurement(judged.reading.measurement);
            const std::string sign = judgement_sign(judged.judgement);
            html_.table_row({m.measure, m.state, reading_words(meter_, m, judged.reading.value),
                             band_words(meter_, m, judged.band), std::string(sign)},
                            css_of(sign));
        }
        html_.table_end();
    }

    void verdict(const BenchVerdict& verdict) {
        html_.put(fmt::format("<section>\n<h2>What the readings say</h2>\n<p>{}</p>\n",
                              words(verdict_sentence(verdict))));
        if (!verdict.suspects.empty()) {
            html_.table_head({"Share", "Suspect", "Why"}, "Suspects");
            for (std::size_t k = 0; k < verdict.suspects.size(); ++k) {
                html_.table_row({share_words(verdict.suspects[k].share), verdict.suspects[k].text,
                                 suspect_reason(verdict, k)});
            }
            html_.table_row({share_words(verdict.unexplained), "something else", ""});
            html_.table_end();
        }
        if (verdict.next) {
            html_.put(
                fmt::format("<p><strong>Next:</strong> {}.</p>\n", words(next_words(answer_))));
        }
        further_readings(verdict);
        html_.put("</section>\n");
    }

    const BenchAnswer& answer_;
    const FaultDictionary& dictionary_;
    const Meter& meter_;
    MeterPoints points_;
    HtmlWriter html_;
};

}  // namespace

std::string bench_html(const BenchAnswer& answer) {
    return Page(answer).write();
}

}  // namespace gapwright
