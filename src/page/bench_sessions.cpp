// The sessions on record of a link, held against one another.
#include <expected>
#include <string>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/record_reading.hpp"
#include "bench/sessions/session_history.hpp"
#include "link/meter.hpp"
#include "page/bench_table.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/bench_words.hpp"

namespace gapwright {
namespace {

Json session_view(const PastSession& session) {
    Json suspects = Json::array();
    for (const auto& suspect : session.record.suspects) suspects.push_back(suspect.text);
    return {{"file", session.file},
            {"when", session.record.when},
            {"specimen", specimen_of(session.record)},
            {"verdict", session.record.verdict},
            {"readings", session.readings.size()},
            {"suspects", suspects}};
}

}  // namespace

Answered<Json> sessions_view(const PreparedBench& setup, const std::string& file) {
    const auto& measurements = setup.dictionary.measurements;
    const Meter& meter = setup.dictionary.meter;
    const auto past = past_sessions(file, measurements);
    if (!past) return refused(422, past.error());
    const SessionHistory history = history_of(past->sessions, measurements, meter, setup.bands);
    Json sessions = Json::array();
    for (const auto& session : past->sessions) sessions.push_back(session_view(session));
    Json changes = Json::array();
    for (const auto& change : history.changes) {
        const Measurement& m = measurements[change.measurement];
        changes.push_back({{"measure", m.measure + ", " + m.state},
                           {"before", reading_words(meter, m, change.before)},
                           {"earlier", past->sessions[change.earlier].file},
                           {"after", reading_words(meter, m, change.after)},
                           {"session", past->sessions[change.session].file}});
    }
    Json pooled = Json::array();
    for (const auto& one : history.pooled) {
        const Measurement& m = measurements[one.measurement];
        Json values = Json::array();
        for (const auto& value : one.values) {
            values.push_back({{"specimen", value.specimen},
                              {"text", reading_words(meter, m, value.value)},
                              {"judgement", judgement_word(value.judgement)},
                              {"apart", value.apart}});
        }
        pooled.push_back({{"measure", m.measure + ", " + m.state},
                          {"band", band_words(meter, m, one.band)},
                          {"values", values}});
    }
    return Json{{"sessions", sessions},
                {"changes", changes},
                {"pooled", pooled},
                {"unreadable", past->unreadable}};
}

}  // namespace gapwright
