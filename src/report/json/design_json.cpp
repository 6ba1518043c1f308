#include "report/json/design_json.hpp"
#include <string>
#include <string_view>

#include "design/design.hpp"
#include "design/values/stock.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/design_words.hpp"
#include "report/words/proof_words.hpp"

namespace gapwright {
namespace {

std::string_view joint_name(Joint joint) {
    switch (joint) {
        case Joint::single:
            return "single";
        case Joint::series:
            return "series";
        case Joint::parallel:
            break;
    }
    return "parallel";
}

Json limit_json(const Link& link, const Limit& limit) {
    return {{"state", limit.state},
            {"quantity", limit.subject},
            {"promise", limit.is_promise},
            {"sense", limit.sense == Sense::at_most ? "at_most" : "at_least"},
            {"bound", limit.bound},
            {"value", limit.value},
            {"reserve", limit.reserve},
            {"asked_reserve", asked_reserve(link, limit)},
            {"case", case_json(limit.where)}};
}

Json broken_json(const Link& link, const Limit& limit) {
    Json object = limit_json(link, limit);
    object["would_hold_with"] = optional_json(relaxed_bound(limit, asked_reserve(link, limit)));
    return object;
}

Json window_json(const ValueWindow& w) {
    const bool holds = holds_somewhere(w);
    return {{"lowest_on_offer", w.lowest},
            {"highest_on_offer", w.highest},
            {"from", holds ? Json(w.open_below ? w.lowest : w.holds_from) : Json()},
            {"to", holds ? Json(w.open_above ? w.highest : w.holds_to) : Json()},
            {"ends_below", w.open_below ? Json() : Json(w.ends_below)},
            {"ends_above", w.open_above ? Json() : Json(w.ends_above)}};
}

Json chosen_json(const ChosenValue& v) {
    Json around = Json::array();
    for (const auto& c : v.around) {
        around.push_back({{"made_of", c.text},
                          {"value", c.ohms},
                          {"reserve", c.reserve},
                          {"limited_by", c.limited_by},
                          {"taken", c.taken},
                          {"why_not", c.why_not}});
    }
    return {{"part", v.part},           {"value", v.value.nominal},
            {"lowest", v.value.lowest}, {"highest", v.value.highest},
            {"made_of", v.text},        {"joint", joint_name(v.joint)},
            {"ideal", v.ideal},         {"window", v.window ? window_json(*v.window) : Json()},
            {"around", around},         {"why", v.why}};
}

Json objection_json(const Objection& o) {
    return {{"part", o.part},   {"state", o.state},   {"practice", o.name}, {"found", o.found},
            {"asked", o.asked}, {"reason", o.reason}, {"idle", o.idle}};
}

Json answer_json(const Answer& a) {
    Json object = {{"characters", Json::array()}};
    for (const Character c : a.characters) object["characters"].push_back(character_name(c));
    if (a.draft) {
        object["input"] = a.draft->input;
        object["gap"] = a.draft->gap;
        object["output"] = a.draft->output;
    }
    object["verdict"] = verdict_name(a.proof->verdict);
    object["least_reserve"] = a.limit.reserve;
    object["limited_by"] = limit_json(a.link, a.limit);
    const auto& stretch = a.proof->stretch;
    object["stretch"] = stretch ? Json(stretch->stretch.factor) : Json();
    object["stretch_beyond"] = stretch && stretch->stretch.beyond;
    object["no_value_changes_the_limit"] = a.limit_is_fixed;
    object["when_dead"] = a.when_dead;
    object["not_in_drawer"] = a.not_in_drawer;
    object["against_practice"] = Json::array();
    for (const auto& o : a.objections) object["against_practice"].push_back(objection_json(o));
    object["against_first"] = a.against_first;
    object["parts"] = a.parts;
    object["current"] = a.current;
    Json values = Json::object();
    Json chosen = Json::array();
    for (const auto& v : a.values) {
        values[v.part] = v.value.nominal;
        chosen.push_back(chosen_json(v));
    }
    object["values"] = values;
    object["chosen"] = chosen;
    object["paths"] = {{"input", paths_text(a.link.input)}, {"output", paths_text(a.link.output)}};
    object["sets_on_offer"] = a.sets_on_offer;
    object["all_looked_at"] = a.all_looked_at;
    object["helps"] = Json::array();
    for (const auto& help : a.helps) {
        object["helps"].push_back({{"change", help.change},
                                   {"reserve", help.reserve},
                                   {"stretch", optional_json(help.stretch)}});
    }
    object["broken"] = Json::array();
    for (const auto& limit : a.broken) object["broken"].push_back(broken_json(a.link, limit));
    object["unknown"] = what_would_settle(*a.proof);
    object["link"] = a.text;
    object["check"] = verdict_object(a.link, *a.proof);
    return object;
}

Json gap_json(const Comparison& gap) {
    return {{"gap", gap.name},
            {"kind", gap.kind},
            {"least_reserve", optional_json(gap.reserve)},
            {"limited_by", gap.reserve ? Json(gap.limited_by) : Json()},
            {"ruled_out", gap.reserve ? Json() : Json(gap.ruled_out)}};
}

}  // namespace

std::string design_json(const Design& design) {
    Json answers = Json::array();
    for (const auto& answer : design.answers) answers.push_back(answer_json(answer));
    Json left_out = Json::array();
    for (const auto& one : design.not_looked_at) {
        left_out.push_back({{"what", one.what}, {"reason", one.reason}});
    }
    Json gaps = Json::array();
    for (const auto& gap : design.gaps) gaps.push_back(gap_json(gap));
    Json outputs = Json::array();
    for (const auto& one : design.outputs) {
        outputs.push_back({{"output", one.name},
                           {"least_reserve", optional_json(one.reserve)},
                           {"limited_by", one.reserve ? Json(one.limited_by) : Json()},
                           {"ruled_out", one.reserve ? Json() : Json(one.ruled_out)}});
    }
    // Where no set of values has an operating point there is no answer, and nothing holds.
    const Verdict verdict =
        design.answers.empty() ? Verdict::broken : design.answers.front().proof->verdict;
    return text_of({{"title", design.title},
                    {"verdict", verdict_name(verdict)},
                    {"stock", design.stock},
                    {"skipped_rows", design.skipped.size()},
                    {"drafts", design.drafts},
                    {"stopped", design.stopped},
                    {"answers", answers},
                    {"gaps", gaps},
                    {"outputs", outputs},
                    {"not_looked_at", left_out}});
}

}  // namespace gapwright
