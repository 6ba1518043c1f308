// The sessions of a link, for a terminal.
#include <fmt/format.h>

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/bench_record.hpp"
#include "bench/sessions/record_reading.hpp"
#include "bench/sessions/session_history.hpp"
#include "link/link.hpp"
#include "link/meter.hpp"
#include "report/history_report.hpp"
#include "report/text/text_table.hpp"
#include "report/words/bench_words.hpp"
#include "report/words/words.hpp"
#include "source/terminal_text.hpp"

namespace gapwright {
namespace {

// "2026-11-26 18:05" of "2026-11-26T18:05:00+01:00".
std::string short_time(std::string when) {
    constexpr std::size_t minutes = 16;
    if (when.size() > minutes) when.resize(minutes);
    if (when.size() > 10 && when[10] == 'T') when[10] = ' ';
    return in_one_line(when);
}

std::string number_words(const PastSession& session) {
    const auto number = record_number(session.file);
    return number ? fmt::format("{}", *number) : session.file;
}

std::string specimen_words(const std::string& specimen) {
    return specimen.empty() ? "not stated" : in_one_line(specimen);
}

std::string sessions_table(const HistoryAnswer& answer) {
    Table table({true, false, false, false, false, false}, "  ");
    table.add({"no.", "when", "who", "specimen", "verdict", "first suspect"});
    for (const PastSession& session : answer.past.sessions) {
        const BenchRecord& record = session.record;
        const std::string suspect =
            record.suspects.empty()
                ? ""
                : fmt::format("{}, {}", in_one_line(record.suspects.front().text),
                              share_words(record.suspects.front().probability));
        table.add({number_words(session), short_time(record.when), in_one_line(record.who),
                   in_one_line(record.specimen), in_one_line(record.verdict), suspect});
    }
    return table.text();
}

std::string changes_table(const HistoryAnswer& answer) {
    const auto& sessions = answer.past.sessions;
    Table table({true, true, false, false, false, true, true}, "  ");
    table.add({"no.", "after", "specimen", "measure", "state", "before", "now"});
    for (const ChangedReading& change : answer.history.changes) {
        const Measurement& m = answer.measurements[change.measurement];
        table.add({number_words(sessions[change.session]), number_words(sessions[change.earlier]),
                   specimen_words(specimen_of(sessions[change.session].record)), m.measure, m.state,
                   reading_words(answer.link.meter, m, change.before),
                   reading_words(answer.link.meter, m, change.after)});
    }
    return table.text();
}

// Who is out: of the band of good links, or far from the others.
std::string out_words(const HistoryAnswer& answer, const PooledReading& pooled) {
    const Measurement& m = answer.measurements[pooled.measurement];
    std::string words;
    for (const SpecimenValue& one : pooled.values) {
        if (one.judgement == Judgement::in_band && !one.apart) continue;
        words +=
            fmt::format("{}{}: {}, {}", words.empty() ? "" : "; ", specimen_words(one.specimen),
                        reading_words(answer.link.meter, m, one.value),
                        one.judgement == Judgement::in_band ? "far from the others"
                                                            : judgement_word(one.judgement));
    }
    return words;
}

std::string pooled_table(const HistoryAnswer& answer) {
    const Meter& meter = answer.link.meter;
    Table table({false, false, true, true, true, true, false, false}, "  ");
    table.add({"measure", "state", "of", "lowest", "median", "highest", "good links read", "out"});
    for (const PooledReading& pooled : answer.history.pooled) {
        const Measurement& m = answer.measurements[pooled.measurement];
        table.add({m.measure, m.state, fmt::format("{}", pooled.values.size()),
                   reading_words(meter, m, pooled.lowest), reading_words(meter, m, pooled.median),
                   reading_words(meter, m, pooled.highest), band_words(meter, m, pooled.band),
                   out_words(answer, pooled)});
    }
    return table.text();
}

std::vector<std::string> not_used(const HistoryAnswer& answer) {
    std::vector<std::string> words;
    for (const auto& one : answer.past.unreadable) words.push_back(in_one_line(one));
    for (const PastSession& session : answer.past.sessions) {
        for (const auto& name : session.unknown) {
            words.push_back(
                in_one_line(fmt::format("session {}: {} is no reading of this link as it is now",
                                        number_words(session), name)));
        }
    }
    return words;
}

}  // namespace

std::string history_text(const HistoryAnswer& answer, bool colour) {
    const auto section = [&](std::string_view title, const std::string& text) {
        return shown_section(title, text, colour);
    };
    const std::size_t sessions = answer.past.sessions.size();
    const std::size_t specimens = answer.history.specimens.size();
    std::string text = shown_title(answer.link) + fmt::format(": {} session{} of {} specimen{}\n",
                                                              sessions, sessions == 1 ? "" : "s",
                                                              specimens, specimens == 1 ? "" : "s");
    if (sessions == 0) {
        text += "  No session is on record: --enter makes one, or --readings FILE --record.\n";
    } else {
        text += section("Sessions", sessions_table(answer));
        text += section("Changed by more than the meter's errors",
                        answer.history.changes.empty() ? "  nothing that was read twice\n"
                                                       : changes_table(answer));
    }
    if (specimens > 1) {
        text += section("Specimens beside one another", answer.history.pooled.empty()
                                                            ? "  nothing was read on two of them\n"
                                                            : pooled_table(answer));
    }
    if (!answer.parts.empty()) {
        std::string lines;
        for (const auto& of : answer.parts) {
            lines += fmt::format("  {}  {} point{}\n", answer.link.parts[of.part].name,
                                 of.points.size(), of.points.size() == 1 ? "" : "s");
        }
        text += section("Points of parts, for card fit (--points FOLDER writes them)", lines);
    }
    const auto left = not_used(answer);
    if (!left.empty()) {
        std::string lines;
        for (const auto& one : left) lines += "  - " + one + "\n";
        text += section("Not used", lines);
    }
    return text;
}

}  // namespace gapwright
