#include "page/part_detail.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <optional>
#include <stop_token>
#include <string>
#include <utility>
#include <vector>

#include "build/part_look.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "design/values/open_stock.hpp"
#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "page/edits.hpp"
#include "page/fields.hpp"
#include "page/json.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "page/typed_value.hpp"
#include "page/verdict_view.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/words.hpp"
#include "source/toml_edit.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_choices = 10;  // a column that is seen at once (own choice)

// One thing that could stand in the part's place.
struct Candidate {
    std::string text;
    Json edits;
    bool taken = false;
};

Json edit_of(const TomlPath& at, const std::string& text) {
    return {{"at", json_path(at)}, {"text", text}};
}

Json shares(const Proof& proof, std::size_t part) {
    Json list = Json::array();
    for (const auto& promise : proof.promises) {
        for (const auto& influence : promise.influences) {
            if (!influence.figure || !influence.figure->is_of_part(part)) continue;
            const std::string grade =
                influence.grade.empty()
                    ? ""
                    : fmt::format("{}: worst {}", influence.grade,
                                  engineering(influence.worst, promise.dimension, 4));
            list.push_back({{"promise", fmt::format("{}, {}: {}", promise.quantity, promise.state,
                                                    spoken_figure(influence.name))},
                            {"share", share_of_spread(influence.share)},
                            {"grade", grade}});
        }
    }
    return list;
}

// A value of the stock; of a series with the tolerance that the part has now.
Candidate resistor_candidate(const Part& part, const StockValue& stock, bool from_drawer) {
    const Spread& now = part.description.at(Key::value).spread;
    Spread value = stock.value;
    if (!from_drawer && now.nominal > 0) {
        value.lowest = value.nominal * now.lowest / now.nominal;
        value.highest = value.nominal * now.highest / now.nominal;
    }
    const TomlPath path = {std::string("parts"), part.name};
    TomlPath at = path;
    at.emplace_back(std::string("value"));
    Candidate candidate{
        .text = engineering_short(value.nominal, Dimension::resistance),
        .edits = Json::array({edit_of(at, spread_text(value, Dimension::resistance))}),
        .taken = std::abs(value.nominal / now.nominal - 1) < 1e-6};
    if (from_drawer && stock.power) {
        at.back() = std::string("power");
        candidate.edits.push_back(edit_of(at, engineering_short(*stock.power, Dimension::power)));
    }
    return candidate;
}

// The values nearest to the present one.
std::vector<Candidate> resistor_candidates(const Part& part, const Stock& stock, bool from_drawer) {
    const double now = part.description.at(Key::value).spread.nominal;
    std::vector<StockValue> values;
    for (const auto& value : stock.values) {
        const auto alike = [&](const StockValue& other) {
            return other.value.nominal == value.value.nominal;
        };
        if (value.value.nominal > 0 && std::ranges::none_of(values, alike)) values.push_back(value);
    }
    std::ranges::stable_sort(values, {}, [&](const StockValue& value) {
        return std::abs(std::log(value.value.nominal / now));
    });
    if (values.size() > most_choices) values.resize(most_choices);
    std::vector<Candidate> candidates;
    for (const auto& value : values) {
        candidates.push_back(resistor_candidate(part, value, from_drawer));
    }
    return candidates;
}

std::vector<Candidate> card_candidates(const Part& part, const std::vector<CardChoice>& cards) {
    std::vector<Candidate> candidates;
    if (part.description.card.empty()) return candidates;
    for (const auto& card : cards) {
        if (card.kind != part.description.kind || candidates.size() >= most_choices) continue;
        candidates.push_back(
            {.text = card.title,
             .edits = Json::array(
                 {edit_of({std::string("parts"), part.name, std::string("card")}, card.name)}),
             .taken = card.name == part.description.card});
    }
    return candidates;
}

struct Tried {
    Json view;
    double reserve = 0;
};

// The link with a candidate in place, by the search for its worst case alone.
std::optional<Tried> tried(const Judged& judged, const Candidate& candidate,
                           const std::stop_token& stop) {
    const auto text =
        apply_edits(judged.source.text, candidate.edits, {FileSort::link, judged.source.folder});
    if (!text) return std::nullopt;
    const Judged other = judge({judged.source.name, judged.source.folder, text->text},
                               {.samples = 100, .timed_samples = 5, .at_once = true, .stop = stop});
    if (!other.proof) return std::nullopt;
    const LeastReserve least = least_reserve(*other.proof);
    return Tried{{{"text", candidate.text},
                  {"reserve", least.words},
                  {"limited_by", least.limited_by},
                  {"verdict", verdict_name(other.proof->verdict)},
                  {"verdict_words", verdict_sign(other.proof->verdict)},
                  {"taken", candidate.taken},
                  {"edits", candidate.edits}},
                 least.reserve};
}

}  // namespace

Answered<Json> part_detail(const Judged& judged, const std::string& part,
                           const std::vector<CardChoice>& cards, const std::stop_token& stop) {
    const auto index = judged.link->find_part(part);
    if (!index) return refused(404, fmt::format("there is no part {}", part));
    const Part& found = judged.link->parts[*index];
    std::vector<Candidate> candidates;
    std::string from = "cards";
    if (found.description.kind == Kind::resistor && found.description.find(Key::value)) {
        const bool from_drawer = judged.link->stock.drawer.has_value();
        auto stock = open_stock(judged.link->stock, judged.source.folder);
        if (!stock) stock = standard_stock();
        from = stock->name;
        candidates = resistor_candidates(found, *stock, from_drawer);
    } else {
        candidates = card_candidates(found, cards);
    }
    std::vector<Tried> results;
    for (const auto& candidate : candidates) {
        if (stop.stop_requested()) return refused(409, "stopped");
        if (auto one = tried(judged, candidate, stop)) results.push_back(std::move(*one));
    }
    std::ranges::stable_sort(results, std::ranges::greater{}, &Tried::reserve);
    Json choices = Json::array();
    for (auto& one : results) choices.push_back(std::move(one.view));
    return Json{{"name", part},
                {"steps", steps_view(*judged.proof, part)},
                {"shares", shares(*judged.proof, *index)},
                {"choices", choices},
                {"choices_from", candidates.empty() ? "" : from}};
}

}  // namespace gapwright
