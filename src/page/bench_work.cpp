#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <optional>
#include <stop_token>
#include <string>
#include <utility>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_value.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "bench/sessions/bench_record.hpp"
#include "bench/sessions/guided_session.hpp"
#include "bench/sessions/verdict_record.hpp"
#include "page/bench_table.hpp"
#include "page/jobs.hpp"
#include "page/json.hpp"
#include "page/reading_id.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "report/bench_report.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/bench_points.hpp"
#include "report/words/bench_words.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

BenchAnswer answer_of(const PreparedBench& setup) {
    return {.link = setup.link,
            .dictionary = setup.dictionary,
            .sheet = setup.sheet,
            .bands = setup.bands,
            .verdict = {},
            .holes = setup.holes,
            .temperature = bench_temperature,
            .light = setup.link.surroundings.light,
            .age = 0,
            .built = {}};
}

std::string lead_words(const MeterPoint& point) {
    // "between P1 and R1" is a place where two parts meet.
    std::string words = (point.name.starts_with("between ") ? "the joint " : "") + point.name;
    if (const auto holes = point.hole_words(); !holes.empty()) words += ", " + holes;
    if (const auto pins = point.pin_words(); !pins.empty()) words += " (" + pins + ")";
    return words;
}

Json line_view(const PreparedBench& setup, std::size_t measurement, bool on_sheet) {
    const Measurement& m = setup.dictionary.measurements[measurement];
    const ReadingBand& band = setup.bands[measurement];
    const LeadPoints leads = MeterPoints(setup.link, setup.holes).of(m);
    std::string where =
        fmt::format("red on {}; black on {}", lead_words(leads.red), lead_words(leads.black));
    if (!leads.opened.empty()) {
        where = "with the power off: " + leads.opened + " " + where;
    }
    return {{"id", reading_id(m)},
            {"state", m.state == unpowered
                          ? setting_words(setup.link, m)
                          : fmt::format("state {}: {}", m.state, setting_words(setup.link, m))},
            {"measure", m.measure},
            {"leads", where},
            {"band", band_words(setup.dictionary.meter, m, band)},
            {"nominal", reading_words(setup.dictionary.meter, m, band.nominal)},
            {"unit", dimension_unit(m.dimension())},
            {"powered", m.state != unpowered},
            {"on_sheet", on_sheet}};
}

// What was typed, reading by reading.
struct TypedReading {
    std::string id;
    std::string text;
    std::optional<std::size_t> measurement = {};
    std::optional<double> value = {};
    std::string trouble = {};
};

Answered<std::vector<TypedReading>> typed_readings(const PreparedBench& setup, const Json& list) {
    const auto readings = list.find("readings");
    constexpr std::size_t most = 500;
    if (readings == list.end() || !readings->is_array() || readings->size() > most) {
        return refused(400, "there are no readings");
    }
    const auto& known = setup.dictionary.measurements;
    std::vector<TypedReading> typed;
    for (const Json& one : *readings) {
        if (!one.is_object()) return refused(400, "this is no reading");
        TypedReading reading{.id = text_in(one, "id"), .text = text_in(one, "text")};
        const bool blank = reading.text.find_first_not_of(" \t") == std::string::npos;
        if (blank) continue;
        const auto found = std::ranges::find(known, reading.id, reading_id);
        if (found == known.end()) {
            reading.trouble = "this is measured on another link, or no more on this one";
        } else {
            reading.measurement = static_cast<std::size_t>(found - known.begin());
            const auto value = parse_reading_value(reading.text, *found);
            if (value) {
                reading.value = *value;
            } else {
                reading.trouble = value.error().message;
                if (!value.error().remedy.empty()) reading.trouble += ": " + value.error().remedy;
            }
        }
        typed.push_back(std::move(reading));
    }
    return typed;
}

struct Verdicted {
    std::vector<TypedReading> typed;
    std::optional<BenchVerdict> verdict;  // none without a reading that could be read
};

Answered<Verdicted> verdict_of(const PreparedBench& setup, const Json& list,
                               const std::stop_token& stop) {
    auto typed = typed_readings(setup, list);
    if (!typed) return std::unexpected(typed.error());
    Verdicted result{.typed = std::move(*typed), .verdict = {}};
    std::vector<TakenReading> taken;
    for (const auto& reading : result.typed) {
        if (reading.value) taken.push_back({*reading.measurement, *reading.value});
    }
    if (taken.empty()) return result;
    SessionOptions session;
    session.engine.stop = stop;
    session.ask_again = false;  // what is typed stands there and can be typed again
    result.verdict = bench_verdict(setup.link, setup.dictionary, setup.bands, taken, session);
    if (stop.stop_requested()) return refused(409, "newer readings came");
    return result;
}

// A dictionary's link may have more parts than one on paper: these come last and have no symbol.
Json names_of(const Link& link, const std::vector<std::size_t>& parts) {
    Json names = Json::array();
    for (const std::size_t k : parts) {
        if (k < link.parts.size()) names.push_back(link.parts[k].name);
    }
    return names;
}

Json judged_readings(const Verdicted& judged) {
    Json list = Json::array();
    std::size_t next = 0;
    for (const auto& reading : judged.typed) {
        Json view = {{"id", reading.id}, {"text", reading.text}};
        if (reading.value) {
            const JudgedReading& one = judged.verdict->readings[next++];
            view["judgement"] = judgement_word(one.judgement);
            view["words"] = judgement_sign(one.judgement);
            if (one.wrong_sign) {
                view["words"] = judgement_sign(one.judgement) +
                                "; right size, wrong sign: are the leads exchanged?";
            }
        } else {
            view["judgement"] = "unread";
            view["words"] = reading.trouble;
        }
        list.push_back(std::move(view));
    }
    return list;
}

}  // namespace

Answered<Json> sheet_work(const PreparedBench& setup) {
    Json lines = Json::array();
    for (const auto& line : setup.sheet.lines) {
        lines.push_back(line_view(setup, line.measurement, true));
    }
    std::string unseen;
    for (const std::size_t suspect : setup.sheet.unseen) {
        unseen += (unseen.empty() ? "" : "; ") + suspect_text(setup.dictionary, suspect);
    }
    return Json{{"lines", lines},
                {"checks", setup.sheet.checks},
                {"cautions", bench_cautions(answer_of(setup).link)},
                {"unseen", unseen}};
}

Answered<Json> readings_work(const PreparedBench& setup, const Json& list, JobProgress& progress) {
    progress.say("weighing suspects");
    const auto judged = verdict_of(setup, list, progress.stop());
    if (!judged) return std::unexpected(judged.error());
    Json view = {{"readings", judged_readings(*judged)},
                 {"verdict", ""},
                 {"words", ""},
                 {"suspects", Json::array()},
                 {"next", nullptr}};
    if (!judged->verdict) return view;
    const BenchVerdict& verdict = *judged->verdict;
    view["verdict"] = link_verdict_word(verdict.verdict);
    std::string words =
        link_verdict_sign(verdict.verdict) + ". " + verdict_sentence(setup.link, verdict);
    if (verdict.again) {
        BenchAnswer answer = answer_of(setup);
        answer.verdict = verdict;
        words += " " + again_words(answer);
    }
    view["words"] = words;
    for (std::size_t k = 0; k < verdict.suspects.size(); ++k) {
        view["suspects"].push_back({{"text", verdict.suspects[k].text},
                                    {"share", share_words(verdict.suspects[k].share)},
                                    {"explained", suspect_reason(verdict, k)},
                                    {"parts", names_of(setup.link, verdict.suspects[k].parts)},
                                    {"alike", verdict.suspects[k].alike}});
    }
    if (verdict.next) {
        const auto on_sheet = [&](const SheetLine& line) {
            return line.measurement == verdict.next->measurement;
        };
        view["next"] = line_view(setup, verdict.next->measurement,
                                 std::ranges::any_of(setup.sheet.lines, on_sheet));
    }
    return view;
}

Answered<Json> record_readings(const PreparedBench& setup, const Json& list,
                               const std::string& file) {
    const auto judged = verdict_of(setup, list, {});
    if (!judged) return std::unexpected(judged.error());
    if (!judged->verdict) {
        return refused(422, "there is no reading to record", "type at least one that can be read");
    }
    BenchRecord record = record_of(setup.link, setup.dictionary, *judged->verdict);
    record.link = std::filesystem::path(file).filename().string();
    record.who = text_in(list, "who");
    const auto written = append_record(file, record);
    if (!written) return refused(422, written.error());
    return Json{{"file", *written}};
}

}  // namespace gapwright
