#include "page/verdict_view.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "draw/plots.hpp"
#include "draw/schematic.hpp"
#include "link/link.hpp"
#include "page/judged.hpp"
#include "page/pictures.hpp"
#include "page/refusal.hpp"
#include "proof/cases/case.hpp"
#include "proof/cases/case_states.hpp"
#include "proof/cautions/cautions.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/html/html_report.hpp"
#include "report/json/ordered_json.hpp"
#include "report/pictures/margin_rows.hpp"
#include "report/pictures/schematic_view.hpp"
#include "report/words/emitter_words.hpp"
#include "report/words/proof_words.hpp"
#include "report/words/words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

std::string signed_percent(double share) {
    constexpr double nearly_all = 0.999;
    if (!std::isfinite(share)) return "none";
    return share > nearly_all && share < 1 ? "over 99.9 %" : percent(share, 3);
}

// Of a worst value against its bound; in the quantity's unit against a bound of zero.
std::string reserve_words(double worst, double bound, Sense sense, Dimension dimension) {
    const double reserve = reserve_left(worst, bound, sense);
    return bound == 0 ? engineering(reserve, dimension) : signed_percent(reserve);
}

std::string share_words(const PromiseResult& p) {
    if (p.samples == 0) return "";
    return p.kept == p.samples
               ? fmt::format("all of {} drawn (at least {})", p.samples,
                             percent(p.share_kept_low95, 4))
               : fmt::format("{} of {} drawn", percent(p.share_kept(), 4), p.samples);
}

std::string bar_of(const MarginRow& row) {
    return draw_margin_bar(row).svg(false, 2);
}

// As a meter would show it; the exact figures stand beside it, opened.
std::string shown_value(const PromiseResult& p, double value) {
    const bool plain = p.dimension == Dimension::current || p.dimension == Dimension::voltage;
    return plain && !is_never(p, value) ? metered(value, p.dimension, 4)
                                        : promise_value(p, value, 4);
}

Json promise_view(const PromiseResult& p, std::size_t number) {
    const auto worst = p.worst();
    const bool never = is_never(p, worst.value);
    const bool known = p.verdict != Verdict::unknown;
    return {
        {"number", number},
        {"state", p.state},
        {"quantity", p.quantity},
        {"bounds", promise_bounds(p)},
        {"nominal", promise_value(p, p.nominal, 4)},
        {"worst", shown_value(p, worst.value)},
        {"lowest", promise_value(p, p.lowest, 4)},
        {"highest", promise_value(p, p.highest, 4)},
        {"reserve", never    ? "none: never reached"
                    : !known ? "unknown"
                             : reserve_words(worst.value, worst.bound, worst.sense, p.dimension)},
        {"stretch", shown_stretch(p.stretch)},
        {"share", share_words(p)},
        {"worst_case",
         worst.where && (known || !worst.where->empty()) ? case_text(*worst.where) : ""},
        {"reason", known ? "" : p.reason},
        {"verdict", verdict_name(p.verdict)},
        {"verdict_words", verdict_sign(p.verdict)},
        {"bar", has_bar(p) ? bar_of(margin_row(p)) : ""}};
}

Json rating_view(const RatingResult& r) {
    return {{"number", -1},
            {"state", r.state},
            {"quantity", r.part + " " + spoken_key(r.limit)},
            {"bounds", rating_bound(r)},
            {"nominal", engineering(r.nominal, r.dimension)},
            {"worst", metered(r.worst(), r.dimension)},
            {"lowest", engineering(r.lowest, r.dimension)},
            {"highest", engineering(r.highest, r.dimension)},
            {"reserve", r.verdict == Verdict::unknown
                            ? "unknown"
                            : reserve_words(r.worst(), r.bound, r.sense, r.dimension)},
            {"stretch", shown_stretch(r.stretch)},
            {"share", ""},
            {"worst_case", case_text(r.worst_case)},
            {"reason", r.reason},
            {"verdict", verdict_name(r.verdict)},
            {"verdict_words", verdict_sign(r.verdict)},
            {"bar", bar_of(margin_row(r))}};
}

std::size_t state_index(const Proof& proof, const std::string& state) {
    const auto found = std::ranges::find(proof.states, state, &NominalState::name);
    return found == proof.states.end() ? 0 : static_cast<std::size_t>(found - proof.states.begin());
}

}  // namespace

Json steps_view(const Proof& proof, const std::string& part) {
    Json list = Json::array();
    for (const auto& steps : proof.steps) {
        const std::string names = " " + steps.resistors + " ";
        if (!part.empty() && names.find(" " + part + " ") == std::string::npos) continue;
        list.push_back({{"title", fmt::format("{} in state {}", steps.resistors, steps.state)},
                        {"lines", steps.lines}});
    }
    return list;
}

LeastReserve least_reserve(const Proof& proof) {
    LeastReserve least{
        .reserve = std::numeric_limits<double>::infinity(), .words = {}, .limited_by = {}};
    const auto consider = [&](double reserve, const std::string& words) {
        if (reserve >= least.reserve) return;
        least.reserve = reserve;
        least.limited_by = words;
    };
    for (const auto& p : proof.promises) {
        const auto worst = p.worst();
        if (worst.bound == 0) continue;  // a reserve in the quantity's unit compares with none
        consider(has_bar(p) ? reserve_left(worst.value, worst.bound, worst.sense) : -1,
                 fmt::format("{}, {}", p.quantity, p.state));
    }
    for (const auto& r : proof.ratings) {
        consider(reserve_left(r.worst(), r.bound, r.sense),
                 fmt::format("{} {}, {}", r.part, spoken_key(r.limit), r.state));
    }
    least.words = signed_percent(least.reserve);
    return least;
}

Json caution_list(const Link& link, const std::vector<Caution>& cautions) {
    Json list = Json::array();
    for (const auto& caution : cautions) {
        list.push_back(
            {{"text", caution.text}, {"part", caution.part ? link.parts[*caution.part].name : ""}});
    }
    return list;
}

Json judgement_view(const Judged& judged, const std::string& state) {
    const Proof& proof = *judged.proof;
    const std::size_t shown = state_index(proof, state);
    Json promises = Json::array();
    for (std::size_t k = 0; k < proof.promises.size(); ++k) {
        promises.push_back(promise_view(proof.promises[k], k));
    }
    auto decisive = decisive_ratings(proof);
    std::ranges::stable_sort(decisive, {}, [](const RatingResult& r) {
        return reserve_left(r.worst(), r.bound, r.sense);
    });
    Json ratings = Json::array();
    for (const auto& rating : decisive) ratings.push_back(rating_view(rating));
    Json states = Json::array();
    for (const auto& one : proof.states) states.push_back(one.name);
    return {{"verdict", verdict_name(proof.verdict)},
            {"verdict_words", verdict_sign(proof.verdict)},
            {"sentence", verdict_sentence(*judged.link, proof)},
            {"specimens", fmt::format("{} specimens drawn, {} solved in the search for the worst",
                                      drawn_specimens(proof), proof.worst_case_specimens)},
            {"states", states},
            {"state", proof.states.empty() ? "" : proof.states[shown].name},
            {"schematic",
             proof.states.empty()
                 ? ""
                 : draw_schematic(schematic_view(*judged.link, proof, shown, Ranges::aside))
                       .svg(false)},
            {"promises", promises},
            {"ratings", ratings},
            {"cautions", caution_list(*judged.link, cautions_to_tell(proof))},
            {"left_out", judged.at_once ? "limits that are passed between two states are looked at "
                                          "when the value is kept"
                                        : ""},
            {"milliseconds", judged.milliseconds}};
}

Json proof_view(const Judged& judged) {
    const auto contents = report_contents(*judged.link, *judged.circuit, *judged.proof);
    Json sections = Json::array();
    const auto add = [&](const char* name, const std::vector<NamedPicture>& from) {
        if (!from.empty()) sections.push_back({{"name", name}, {"pictures", picture_list(from)}});
    };
    add("Margins", contents.margins);
    add("Load lines", contents.load_lines);
    add("Population", contents.histograms);
    add("In time", contents.waveforms);
    add("Life", contents.life);
    Json emitters = Json::array();
    for (const auto& one : judged.proof->emitters) {
        emitters.push_back({{"title", one.part}, {"lines", emitter_words(*judged.link, one)}});
    }
    return {{"sections", sections},
            {"emitters", {{"name", emitters_heading(*judged.link)}, {"list", emitters}}},
            {"steps", steps_view(*judged.proof)}};
}

Answered<Json> case_view(const Judged& judged, const CaseRequest& request) {
    const Proof& proof = *judged.proof;
    const auto number = static_cast<std::size_t>(request.promise);
    if (request.promise < 0 || number >= proof.promises.size()) {
        return refused(404, "there is no such promise");
    }
    const PromiseResult& promise = proof.promises[number];
    const Case& figures = request.highest ? promise.highest_case : promise.lowest_case;
    auto states = states_in_case(*judged.link, *judged.circuit, figures);
    if (!states) return refused(422, states.error());
    Proof one;
    one.states = std::move(*states);
    if (one.states.empty()) return refused(404, "the link has no states");
    const std::string& wanted = request.state.empty() ? promise.state : request.state;
    auto drawn = schematic_view(*judged.link, one, state_index(one, wanted), Ranges::aside);
    mark_case(drawn, *judged.link, figures);
    return Json{
        {"words",
         fmt::format("{} value of {}: {}", request.highest ? "highest" : "lowest", promise.quantity,
                     figures.empty() ? "nothing moves it" : case_text(figures))},
        {"schematic",
         draw_schematic(schematic_view(*judged.link, one, state_index(one, wanted), Ranges::aside))
             .svg(false)}};
}

}  // namespace gapwright
