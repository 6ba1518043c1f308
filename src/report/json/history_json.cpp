#include <cmath>
#include <string>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/record_reading.hpp"
#include "bench/sessions/session_history.hpp"
#include "link/link.hpp"
#include "report/history_report.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {
namespace {

Json number(double value) {
    return std::isinf(value) ? Json("over range") : Json(value);
}

Json session_json(const PastSession& session) {
    Json suspects = Json::array();
    for (const auto& s : session.record.suspects) {
        suspects.push_back({{"text", s.text}, {"share", s.probability}});
    }
    return {{"file", session.file},
            {"when", session.record.when},
            {"who", session.record.who},
            {"specimen", session.record.specimen},
            {"verdict", session.record.verdict},
            {"readings", session.readings.size()},
            {"suspects", suspects},
            {"unknown", session.unknown}};
}

Json pooled_json(const PooledReading& pooled, const Measurement& m) {
    Json values = Json::array();
    for (const auto& one : pooled.values) {
        values.push_back({{"specimen", one.specimen},
                          {"value", number(one.value)},
                          {"judgement", judgement_word(one.judgement)},
                          {"apart", one.apart}});
    }
    return {{"state", m.state},
            {"measure", m.measure},
            {"lowest", number(pooled.lowest)},
            {"median", number(pooled.median)},
            {"highest", number(pooled.highest)},
            {"good_lowest", number(pooled.band.lowest)},
            {"good_highest", number(pooled.band.highest)},
            {"values", values}};
}

}  // namespace

std::string history_json(const HistoryAnswer& answer) {
    Json sessions = Json::array();
    for (const auto& session : answer.past.sessions) sessions.push_back(session_json(session));
    Json changes = Json::array();
    for (const auto& change : answer.history.changes) {
        const Measurement& m = answer.measurements[change.measurement];
        changes.push_back({{"file", answer.past.sessions[change.session].file},
                           {"after", answer.past.sessions[change.earlier].file},
                           {"state", m.state},
                           {"measure", m.measure},
                           {"before", number(change.before)},
                           {"now", number(change.after)}});
    }
    Json pooled = Json::array();
    for (const auto& one : answer.history.pooled) {
        pooled.push_back(pooled_json(one, answer.measurements[one.measurement]));
    }
    Json points = Json::object();
    for (const auto& of : answer.parts) {
        points[answer.link.parts[of.part].name] = of.points.size();
    }
    return text_of(Json{{"title", answer.link.title},
                        {"sessions", sessions},
                        {"changes", changes},
                        {"specimens", answer.history.specimens},
                        {"pooled", pooled},
                        {"points", points},
                        {"unreadable", answer.past.unreadable}});
}

}  // namespace gapwright
