#include "report/json/verdict_json.hpp"
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "device/constants.hpp"
#include "proof/cases/case.hpp"
#include "proof/limits/emitter_hours.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/words.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

// Inside, temperatures are kelvin; files and JSON speak of °C.
double outward(double value, Dimension dimension) {
    return dimension == Dimension::temperature ? value - zero_celsius : value;
}

Json named(const std::vector<std::pair<std::string, double>>& figures) {
    Json object = Json::object();
    for (const auto& [name, value] : figures) object[name] = value;
    return object;
}

// A delay of a level that is never reached is null.
Json value_json(const PromiseResult& p, double value) {
    return is_never(p, value) ? Json() : Json(value);
}

Json stretch_json(const Stretch& s) {
    return {{"factor", s.factor},
            {"beyond", s.beyond},
            {"through", s.through.empty() ? Json() : Json(s.through)}};
}

Json stretch_json(const std::optional<Stretch>& stretch) {
    return stretch ? stretch_json(*stretch) : Json();
}

Json stretch_json(const std::optional<LinkStretch>& link) {
    if (!link) return {};
    const Json least = stretch_json(link->stretch);
    return {{"factor", least["factor"]},
            {"beyond", least["beyond"]},
            {"state", link->state},
            {"what", link->what},
            {"through", least["through"]}};
}

Json promise_json(const PromiseResult& p) {
    Json object = {{"state", p.state}, {"quantity", p.quantity}};
    if (p.at_least) object["at_least"] = *p.at_least;
    if (p.at_most) object["at_most"] = *p.at_most;
    object["nominal"] = value_json(p, p.nominal);
    const bool sampled = p.samples > 0;
    object["lowest"] = value_json(p, p.lowest);
    object["highest"] = value_json(p, p.highest);
    object["lowest_case"] = case_json(p.lowest_case);
    object["highest_case"] = case_json(p.highest_case);
    object["share_kept"] = optional_json(sampled ? std::optional(p.share_kept()) : std::nullopt);
    object["share_kept_low95"] =
        optional_json(sampled ? std::optional(p.share_kept_low95) : std::nullopt);
    object["samples"] = p.samples;
    object["verdict"] = verdict_name(p.verdict);
    object["stretch"] = stretch_json(p.stretch);
    if (p.comes_to) object["comes_to"] = *p.comes_to;
    if (!p.reason.empty()) object["reason"] = p.reason;
    Json influences = Json::array();
    for (const auto& i : p.influences) {
        Json one = {{"name", i.name}, {"share", i.share}};
        if (!i.grade.empty()) {
            one["grade"] = i.grade;
            one["worst"] = i.worst;
        }
        influences.push_back(one);
    }
    object["what_matters"] = influences;
    return object;
}

Json rating_json(const RatingResult& r) {
    Json object = {{"state", r.state},
                   {"part", r.part},
                   {"limit", key_name(r.limit)},
                   {"limit_stated", r.limit_stated},
                   {"sense", r.sense == Sense::at_most ? "at_most" : "at_least"},
                   {"rated", r.rated},
                   {"bound", r.bound},
                   {"nominal", r.nominal},
                   {"lowest", r.lowest},
                   {"highest", r.highest},
                   {"worst_case", case_json(r.worst_case)},
                   {"verdict", verdict_name(r.verdict)},
                   {"stretch", stretch_json(r.stretch)}};
    if (!r.reason.empty()) object["reason"] = r.reason;
    return object;
}

// In A and s; what is not known is null.
Json emitter_json(const EmitterHours& emitter) {
    Json states = Json::object();
    for (const auto& state : emitter.states) {
        states[state.state] = {{"share", optional_json(state.share)},
                               {"time", optional_json(state.time)},
                               {"current", state.current}};
    }
    return {{"name", emitter.part},
            {"states", states},
            {"without_supply", emitter.without_supply},
            {"light_left", optional_json(emitter.light_left)},
            {"light_left_hot", optional_json(emitter.light_left_hot)}};
}

}  // namespace

Json case_json(const Case& figures) {
    Json object = Json::object();
    for (const auto& f : figures) object[f.name] = outward(f.value, f.dimension);
    return object;
}

Json optional_json(const std::optional<double>& value) {
    return value ? Json(*value) : Json();
}

std::string text_of(const Json& document) {
    // Titles and names come from files that passed the UTF-8 check; anything else is replaced.
    Json whole = {{"format", json_format}};
    whole.update(document);
    return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Json verdict_object(const Link& link, const Proof& proof) {
    Json states = Json::object();
    for (const auto& state : proof.states) {
        states[state.name] = {{"currents", named(state.currents)},
                              {"voltages", named(state.voltages)},
                              {"powers", named(state.powers)}};
    }
    Json promises = Json::array();
    for (const auto& promise : proof.promises) promises.push_back(promise_json(promise));
    Json ratings = Json::array();
    for (const auto& rating : proof.ratings) ratings.push_back(rating_json(rating));
    Json levels = Json::object();
    for (const auto& level : proof.levels) {
        Json by_state = Json::object();
        for (const auto& [state, word] : level.by_state) by_state[state] = word;
        levels[level.part] = by_state;
    }
    Json steps = Json::array();
    for (const auto& s : proof.steps) {
        steps.push_back({{"state", s.state}, {"resistors", s.resistors}, {"lines", s.lines}});
    }
    Json emitters = Json::array();
    for (const auto& emitter : proof.emitters) emitters.push_back(emitter_json(emitter));
    Json not_judged = Json::array();
    for (const auto& one : proof.not_judged) {
        not_judged.push_back({{"state", one.state},
                              {"what", one.what},
                              {"reason", one.reason},
                              {"promised", one.promised}});
    }
    Json cautions = Json::array();
    for (const auto& caution : proof.cautions) cautions.push_back(caution.text);
    return {{"title", link.title},
            {"verdict", verdict_name(proof.verdict)},
            {"stretch", stretch_json(proof.stretch)},
            {"states", states},
            {"promises", promises},
            {"ratings", ratings},
            {"levels", levels},
            {"steps", steps},
            {"emitters", emitters},
            {"not_judged", not_judged},
            {"cautions", cautions},
            {"samples", proof.samples},
            {"timed_samples", proof.timed_samples},
            {"worst_case_specimens", proof.worst_case_specimens},
            {"seed", proof.seed}};
}

std::string verdict_json(const Link& link, const Proof& proof) {
    return text_of(verdict_object(link, proof));
}

std::string problems_json(const Problems& problems) {
    Json errors = Json::array();
    for (const auto& p : problems) {
        Json error = {{"cause", cause_name(p.cause)}, {"message", p.message}};
        if (!p.remedy.empty()) error["remedy"] = p.remedy;
        if (p.place.text) {
            const auto where = p.place.text->line_column(p.place.begin);
            error["file"] = p.place.text->name();
            error["line"] = where.line;
            error["column"] = where.column;
        }
        errors.push_back(error);
    }
    return text_of({{"errors", errors}});
}

std::string failure_json(const std::string& message) {
    return text_of({{"failure", message}});
}

}  // namespace gapwright
