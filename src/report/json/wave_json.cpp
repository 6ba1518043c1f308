#include <optional>
#include <string>
#include "proof/timed/delay_study.hpp"
#include "proof/timed/drift.hpp"
#include "proof/timed/wave_answer.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/text/wave_text.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

Json delay_json(double delay) {
    return delay < never ? Json(delay) : Json();
}

Json transition_json(const Transition& t) {
    return {{"quantity", (t.dimension == Dimension::voltage ? "voltage " : "current ") + t.name},
            {"before", t.before},
            {"after", t.after},
            {"lowest", t.lowest},
            {"highest", t.highest},
            {"halfway", optional_json(t.halfway)},
            {"edge_time", optional_json(t.edge_time)}};
}

Json drift_json(const Drift& drift) {
    Json emitters = Json::array();
    for (const auto& e : drift.emitters) {
        emitters.push_back(
            {{"part", e.part}, {"power", e.power}, {"rise", e.rise}, {"light", e.light}});
    }
    Json nodes = Json::array();
    for (const auto& n : drift.nodes) {
        nodes.push_back({{"node", n.node}, {"cold", n.cold}, {"warm", n.warm}});
    }
    return {{"emitters", emitters}, {"nodes", nodes}};
}

Json signal_json(const SignalAnswer& s) {
    return {{"quantity", s.quantity},
            {"level", s.level},
            {"bit", s.bit},
            {"begin_delay", optional_json(s.pulse.begin_delay)},
            {"end_delay", optional_json(s.pulse.end_delay)},
            {"width_error", s.pulse.arrives() ? Json(s.pulse.width_error() / s.bit) : Json()},
            {"eye",
             {{"opening", s.eye.opening()},
              {"lowest_high", s.eye.lowest_high},
              {"highest_low", s.eye.highest_low}}}};
}

}  // namespace

std::string wave_json(const Link& link, const WaveAnswer& answer,
                      const std::optional<DelayStudy>& study) {
    Json voltages = Json::object();
    Json currents = Json::object();
    Json light = Json::object();
    for (const auto& curve : answer.curves) {
        (curve.dimension == Dimension::voltage ? voltages : currents)[curve.name] = curve.values;
    }
    for (const auto& curve : answer.lights) light[curve.name] = curve.values;
    Json transitions = Json::array();
    for (const auto& t : answer.transitions) transitions.push_back(transition_json(t));
    Json instants = Json::array();
    for (const auto& i : answer.instants) {
        instants.push_back({{"part", i.part},
                            {"what", i.what},
                            {"level", i.level},
                            {"at", optional_json(i.at)},
                            {"comes_to", i.comes_to}});
    }
    Json signal = Json::array();
    for (const auto& s : answer.signal) signal.push_back(signal_json(s));
    Json document = {{"title", link.title},
                     {"change", answer.title},
                     {"times", answer.times},
                     {"voltages", voltages},
                     {"currents", currents},
                     {"light", light},
                     {"transitions", transitions},
                     {"instants", instants},
                     {"signal", signal},
                     {"end", answer.end},
                     {"drift", drift_json(answer.drift)},
                     {"rested", answer.rested},
                     {"steps", answer.steps}};
    if (study) {
        Json delays = Json::array();
        for (const auto& s : study->spreads) {
            delays.push_back({{"name", s.name},
                              {"nominal", s.nominal ? delay_json(*s.nominal) : Json()},
                              {"fastest", delay_json(s.fastest)},
                              {"median", delay_json(s.middle)},
                              {"slowest", delay_json(s.slowest)},
                              {"never_reached", s.never_reached},
                              {"slowest_specimen", case_json(s.slowest_specimen)}});
        }
        document["delays"] = delays;
        document["samples"] = study->specimens;
    }
    return text_of(document);
}

}  // namespace gapwright
