// What `gapwright bench` prints.
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bench/bench_verdict.hpp"
#include "bench/measurement.hpp"
#include "bench/test_sheet.hpp"
#include "link/link.hpp"
#include "report/bench_points.hpp"
#include "report/bench_report.hpp"
#include "report/bench_words.hpp"
#include "report/text_table.hpp"
#include "report/words.hpp"
#include "source/terminal_text.hpp"

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

class Summary {
  public:
    Summary(const BenchAnswer& answer, bool colour)
        : answer_(answer),
          dictionary_(answer.dictionary),
          colour_(colour),
          points_(answer.link, answer.holes) {}

    std::string write() {
        const Link& link = answer_.link;
        text_ = shown_title(link);
        text_ += answer_.verdict
                     ? fmt::format(": {}\n",
                                   shown_sign(link_verdict_sign(answer_.verdict->verdict), colour_))
                     : ": test sheet\n";
        if (answer_.verdict) {
            verdict(*answer_.verdict);
            listed("As measured", answer_.built);
            return std::move(text_);
        }
        listed("Cautions", bench_cautions(answer_));
        sheet();
        points();
        listed("Look at as well", answer_.sheet.checks);
        unseen();
        listed("What the bands hold for", band_conditions(answer_));
        return std::move(text_);
    }

    std::string cautions() {
        listed("Cautions", bench_cautions(answer_));
        return std::move(text_);
    }

    // The last reading, and the first few suspects.
    std::string after_reading(const BenchVerdict& verdict) {
        const JudgedReading& last = verdict.readings.back();
        const Measurement& m = dictionary_.measurements[last.reading.measurement];
        text_ = fmt::format("  {} ({} reads {}; good links {})\n",
                            shown_sign(judgement_sign(last.judgement), colour_), m.measure,
                            reading_words(dictionary_.meter, m, last.reading.value),
                            band_words(dictionary_.meter, m, last.band));
        if (last.wrong_sign) text_ += item("Right size, wrong sign: are the leads exchanged?");
        constexpr std::size_t few = 3;
        for (std::size_t k = 0; k < verdict.suspects.size() && k < few; ++k) {
            text_ += fmt::format("  {:>5}  {}, {}\n", share_words(verdict.suspects[k].share),
                                 verdict.suspects[k].text, suspect_reason(verdict, k));
        }
        return std::move(text_);
    }

    std::string asking(const Measurement& m) {
        const bool off = m.state == unpowered;
        const LeadPoints leads = points_.of(m);
        text_ = fmt::format("{}, {} ({})\n", m.measure, off ? "unpowered" : "state " + m.state,
                            setting_words(answer_.link, m));
        if (!leads.opened.empty()) {
            text_ += item("with the power off: " + leads.opened +
                          " The meter goes between; put its lead back into the socket for voltages "
                          "afterwards.");
        }
        text_ += item("red lead: " + point_words(leads.red));
        text_ += item("black lead: " + point_words(leads.black));
        return std::move(text_);
    }

  private:
    void heading(std::string_view title) {
        text_ += fmt::format("\n{}\n", shown_heading(title, colour_));
    }

    void listed(std::string_view title, const std::vector<std::string>& lines) {
        if (lines.empty()) return;
        heading(title);
        for (const auto& line : lines) text_ += item(line);
    }

    const Measurement& measurement(const SheetLine& line) const {
        return dictionary_.measurements[line.measurement];
    }

    // One table, so that columns keep their places from section to section.
    std::vector<std::string> rows() const {
        Table table({true, false, false, false, true, false});
        table.add({"", "measure", "red lead", "black lead", "nominal", "good links read"});
        for (std::size_t k = 0; k < answer_.sheet.lines.size(); ++k) {
            const SheetLine& line = answer_.sheet.lines[k];
            const Measurement& m = measurement(line);
            const LeadPoints leads = points_.of(m);
            table.add({std::to_string(k + 1), m.measure, leads.red.name, leads.black.name,
                       reading_words(dictionary_.meter, m, line.band.nominal),
                       band_words(dictionary_.meter, m, line.band)});
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

    void sheet() {
        const auto lines = rows();
        text_ += "\n" + lines.front();
        for (const auto& section : sheet_sections(answer_)) {
            text_ += wrapped(fmt::format("({})", section.how),
                             shown_heading(section.title, colour_) + " ", "  ");
            for (const std::size_t k : section.lines) {
                text_ += lines[k + 1];
                hint(answer_.sheet.lines[k]);
            }
        }
    }

    // The likeliest alone: the page has them all.
    void hint(const SheetLine& line) {
        if (line.hints.empty() || line.hints.front().suspects.empty()) return;
        const SheetHint& first = line.hints.front();
        std::string words = fmt::format(
            "{}: {}", hint_range(dictionary_.meter, measurement(line), line.band, first),
            suspect_text(dictionary_, first.suspects.front()));
        if (first.suspects.size() > 1) {
            words += fmt::format(", or {} other{}", first.suspects.size() - 1,
                                 first.suspects.size() == 2 ? "" : "s");
        }
        text_ += fmt::format("       {}\n", words);
    }

    // Each point once, in the order of the sheet.
    void points() {
        Table table({false, false, false});
        std::vector<std::string> told;
        const auto add = [&](const MeterPoint& point) {
            if (point.pins.empty() || std::ranges::find(told, point.name) != told.end()) return;
            told.push_back(point.name);
            table.add({point.name, point.pin_words(), point.hole_words()});
        };
        std::vector<std::string> opened;
        for (const auto& line : answer_.sheet.lines) {
            const LeadPoints leads = points_.of(measurement(line));
            add(leads.red);
            add(leads.black);
            const bool known = std::ranges::find(opened, leads.opened) != opened.end();
            if (!leads.opened.empty() && !known) opened.push_back(leads.opened);
        }
        if (!table.empty()) {
            heading("Where the leads go");
            text_ += table.text();
        }
        for (const auto& line : opened) text_ += item(line + " The meter goes between.");
    }

    void unseen() {
        std::vector<std::string> lines;
        for (const std::size_t s : answer_.sheet.unseen) {
            lines.push_back(suspect_text(dictionary_, s));
        }
        listed("What this sheet does not see", lines);
    }

    void readings(const BenchVerdict& verdict) {
        if (verdict.readings.empty()) return;
        heading("Readings");
        Table table({false, false, true, false, false});
        table.add({"measure", "state", "reading", "good links read", "judgement"});
        for (const auto& judged : verdict.readings) {
            const Measurement& m = dictionary_.measurements[judged.reading.measurement];
            const std::string turned =
                judged.wrong_sign ? ": right size, wrong sign; are the leads exchanged?" : "";
            table.add({m.measure, m.state,
                       reading_words(dictionary_.meter, m, judged.reading.value),
                       band_words(dictionary_.meter, m, judged.band),
                       shown_sign(judgement_sign(judged.judgement), colour_) + turned});
        }
        text_ += table.text();
    }

    void verdict(const BenchVerdict& verdict) {
        readings(verdict);
        heading("Verdict");
        text_ += wrapped(verdict_sentence(verdict), "  ", "  ");
        if (!verdict.suspects.empty()) {
            heading("Suspects");
            Table table({true, false, false});
            for (std::size_t k = 0; k < verdict.suspects.size(); ++k) {
                table.add({share_words(verdict.suspects[k].share), verdict.suspects[k].text,
                           suspect_reason(verdict, k)});
            }
            table.add({share_words(verdict.unexplained), "something else", ""});
            text_ += table.text();
        }
        if (verdict.next) text_ += "\n" + wrapped("Next: " + next_words(answer_) + ".", "", "  ");
    }

    static std::string point_words(const MeterPoint& point) {
        std::string words = point.name;
        for (const auto& more : {point.hole_words(), point.pin_words()}) {
            if (!more.empty()) words += ", " + more;
        }
        return words;
    }

    const BenchAnswer& answer_;
    const FaultDictionary& dictionary_;
    bool colour_;
    MeterPoints points_;
    std::string text_;
};

}  // namespace

std::string cautions_text(const BenchAnswer& answer, bool colour) {
    return Summary(answer, colour).cautions();
}

std::string session_text(const BenchAnswer& answer, bool colour) {
    return Summary(answer, colour).after_reading(*answer.verdict);
}

std::string asking_text(const BenchAnswer& answer, std::size_t measurement) {
    return Summary(answer, false).asking(answer.dictionary.measurements[measurement]);
}

std::string bench_text(const BenchAnswer& answer, bool colour) {
    return Summary(answer, colour).write();
}

}  // namespace gapwright
