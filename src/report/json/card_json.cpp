#include <cstddef>
#include <string>
#include <utility>
#include <vector>
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "fit/card_check.hpp"
#include "fit/card_curves.hpp"
#include "fit/card_fit.hpp"
#include "fit/observation.hpp"
#include "fit/pair_fit.hpp"
#include "report/card_report.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/card_words.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

Json spread_json(Dimension dimension, const Spread& spread) {
    return {{"nominal", json_value(dimension, spread.nominal)},
            {"lowest", json_value(dimension, spread.lowest)},
            {"highest", json_value(dimension, spread.highest)}};
}

Json conditions_json(const std::vector<double>& conditions) {
    Json list = Json::array();
    for (const double condition : conditions) list.push_back(condition);
    return list;
}

Json card_object(const NamedCard& card) {
    Json figures = Json::object();
    for (const auto& key : kind_rule(card.card.kind).keys) {
        const auto* figure = card.card.find(key.key);
        if (!figure) continue;
        Json json = spread_json(key.dimension, figure->spread);
        if (!figure->conditions.empty()) json["at"] = conditions_json(figure->conditions);
        json["assumed"] = figure->assumed;
        figures[std::string(key.name())] = std::move(json);
    }
    return {{"card", card.name},
            {"name", card.card.name},
            {"kind", std::string(kind_rule(card.card.kind).name)},
            {"source", card.card.source},
            {"figures", std::move(figures)}};
}

Json curve_json(const ChartCurve& curve) {
    return {{"name", curve.name}, {"x", curve.x}, {"y", curve.y}};
}

}  // namespace

std::string card_json(const NamedCard& card) {
    Json json = card_object(card);
    Json list = Json::array();
    if (const auto charts = card_charts(card.card, {})) {
        for (const auto& chart : *charts) {
            Json curves = Json::array();
            for (const auto& curve : chart.curves) curves.push_back(curve_json(curve));
            list.push_back({{"name", chart.name},
                            {"title", chart.title},
                            {"x", chart.x.words},
                            {"y", chart.y.words},
                            {"curves", std::move(curves)}});
        }
    }
    json["charts"] = std::move(list);
    return text_of(json);
}

std::string comparison_json(const NamedCard& one, const NamedCard& other) {
    return text_of(Json{{"cards", Json::array({card_object(one), card_object(other)})}});
}

std::string findings_json(const NamedCard& card, const std::vector<CardFinding>& findings) {
    Json list = Json::array();
    for (const auto& finding : findings) {
        list.push_back({{"nonsense", finding.nonsense},
                        {"figure", finding.figure ? key_name(*finding.figure) : ""},
                        {"text", finding.text},
                        {"remedy", finding.remedy}});
    }
    return text_of(Json{{"card", card.name}, {"findings", std::move(list)}});
}

namespace {

Json fit_object(const CardFit& fit) {
    Json figures = Json::object();
    for (const auto& figure : fit.figures) {
        Json json = {{"value", json_value(figure.dimension, figure.value)},
                     {"lowest95", json_value(figure.dimension, figure.lowest)},
                     {"highest95", json_value(figure.dimension, figure.highest)},
                     {"told", figure.told},
                     {"kept", figure.kept}};
        if (!figure.conditions.empty()) json["at"] = conditions_json(figure.conditions);
        json["spread"] =
            figure.spread ? spread_json(figure.dimension, *figure.spread) : Json(nullptr);
        figures[std::string(key_name(figure.key))] = std::move(json);
    }
    Json observations = Json::array();
    for (std::size_t k = 0; k < fit.observations.size(); ++k) {
        const auto& o = fit.observations[k];
        observations.push_back({{"point", o.point + 1},
                                {"measured", std::string(measured_words(o.measured))},
                                {"value", o.value},
                                {"fitted", fit.predicted[k]},
                                {"misfit", fit.misfits[k]}});
    }
    Json specimens = Json::array();
    for (const auto& specimen : fit.specimens) {
        Json values = Json::object();
        for (std::size_t k = 0; k < specimen.values.size(); ++k) {
            values[std::string(key_name(fit.figures[k].key))] =
                json_value(fit.figures[k].dimension, specimen.values[k]);
        }
        specimens.push_back({{"name", specimen.name}, {"figures", std::move(values)}});
    }
    return Json{{"kind", std::string(kind_rule(fit.card.kind).name)},
                {"figures", std::move(figures)},
                {"noise", fit.noise},
                {"points", std::move(observations)},
                {"strays", fit.strays},
                {"doubts", fit.doubts},
                {"specimens", std::move(specimens)}};
}

}  // namespace

std::string fit_json(const CardFit& fit) {
    return text_of(fit_object(fit));
}

std::string pair_fit_json(const PairFit& fit) {
    return text_of(Json{{"kind", "pair"},
                        {"emitter", fit.pair.emitter.card},
                        {"receiver", fit.pair.receiver.card},
                        {"distance", fit.pair.distance},
                        {"several_distances", fit.several_distances},
                        {"room_light", fit.room_light},
                        {"notes", fit.notes},
                        {"fit", fit_object(fit.receiver)}});
}

}  // namespace gapwright
