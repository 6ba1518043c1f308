#include "fit/specimen_charts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <iterator>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "fit/card_curves.hpp"
#include "fit/card_fit.hpp"
#include "fit/fitted_law.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double same_temperature = 1;  // K
constexpr double sure = 2;              // uncertainties beyond the limits

// What a chart of specimens shows.
struct SpecimenRule {
    std::string name;
    std::string words;
    Measured measured;
    double Observation::* setting;
    ChartAxis x;
    ChartAxis y;
    bool as_ratio = false;  // of the setting
};

std::vector<SpecimenRule> rules_of(Kind kind) {
    const SpecimenRule forward = {.name = "specimens-forward",
                                  .words = "Forward voltage",
                                  .measured = Measured::forward_voltage,
                                  .setting = &Observation::forward_current,
                                  .x = {"forward current", Dimension::current, true},
                                  .y = {"forward voltage", Dimension::voltage}};
    const auto law = fitted_law(kind);
    if (!law) return {};
    switch (*law) {
        case FittedLaw::junction:
            return {forward};
        case FittedLaw::coupler:
            return {forward,
                    {.name = "specimens-transfer",
                     .words = "Current transfer ratio",
                     .measured = Measured::collector_current,
                     .setting = &Observation::forward_current,
                     .x = {"forward current", Dimension::current, true},
                     .y = {"current transfer ratio", Dimension::ratio, false, true},
                     .as_ratio = true}};
        case FittedLaw::phototransistor:
            return {{.name = "specimens-light",
                     .words = "Collector current",
                     .measured = Measured::collector_current,
                     .setting = &Observation::irradiance,
                     .x = {"irradiance", Dimension::irradiance, true},
                     .y = {"collector current", Dimension::current, true}}};
        case FittedLaw::light_resistor:
            return {{.name = "specimens-light",
                     .words = "Resistance",
                     .measured = Measured::resistance,
                     .setting = &Observation::illuminance,
                     .x = {"illuminance", Dimension::illuminance, true},
                     .y = {"resistance", Dimension::resistance, true}}};
    }
    return {};
}

// The points of a chart, by setting; those at the temperature of most.
std::vector<const Observation*> points_of(const CardFit& fit, const SpecimenRule& rule) {
    std::map<long, std::size_t> temperatures;
    const auto step = [](const Observation& o) {
        return std::lround(o.temperature / same_temperature);
    };
    for (const auto& o : fit.observations) {
        if (o.measured == rule.measured) ++temperatures[step(o)];
    }
    if (temperatures.empty()) return {};
    const auto most = std::ranges::max_element(temperatures, {},
                                               [](const auto& counted) { return counted.second; });
    std::vector<const Observation*> points;
    for (const auto& o : fit.observations) {
        if (o.measured == rule.measured && step(o) == most->first) points.push_back(&o);
    }
    std::ranges::stable_sort(points, {}, [&](const auto* o) { return o->*rule.setting; });
    return points;
}

// The card as it is, and with each of its figures at either end of its limits.
struct CardEnds {
    struct Moved {
        std::unique_ptr<PartModel> low;
        std::unique_ptr<PartModel> high;
        Key key;
    };
    const Description& card;
    std::unique_ptr<PartModel> nominal;
    std::vector<Moved> figures;
};

Description moved(Description card, Key key, double to) {
    card.figures[key].spread = exactly(to);
    return card;
}

Expected<CardEnds> ends_of(const CardFit& fit) {
    auto nominal = part_model(fit.card, {});
    if (!nominal) return std::unexpected(nominal.error());
    CardEnds ends{.card = fit.card, .nominal = std::move(*nominal), .figures = {}};
    for (const auto& [key, figure] : fit.card.figures) {
        if (!figure.has_stated_spread()) continue;
        auto low = part_model(moved(fit.card, key, figure.spread.lowest), {});
        auto high = part_model(moved(fit.card, key, figure.spread.highest), {});
        // A figure that the part's model cannot have at an end says nothing of the curve.
        if (!low || !high) continue;
        ends.figures.push_back({std::move(*low), std::move(*high), key});
    }
    return ends;
}

std::optional<double> predicted(const PartModel& model, const Observation& o) {
    double value = 0;
    if (!model.predict(o, {}, value, {})) return std::nullopt;
    return value;
}

// The card with all figures at the ends that let the quantity at that point rise (or fall).
std::optional<double> extreme(const CardEnds& ends, const Observation& o, bool rising) {
    Description all = ends.card;
    for (const auto& figure : ends.figures) {
        const auto low = predicted(*figure.low, o);
        const auto high = predicted(*figure.high, o);
        if (!low || !high) continue;
        const Spread spread = ends.card.at(figure.key).spread;
        const bool take_high = (*high > *low) == rising;
        all = moved(std::move(all), figure.key, take_high ? spread.highest : spread.lowest);
    }
    const auto model = part_model(all, {});
    return model ? predicted(**model, o) : std::nullopt;
}

double shown(const SpecimenRule& rule, const Observation& o, double value) {
    return rule.as_ratio ? value / (o.*rule.setting) : value;
}

void add_limits(const CardEnds& ends, const SpecimenRule& rule,
                const std::vector<const Observation*>& points, SpecimenChart& chart,
                std::map<std::string, bool>& beyond) {
    const auto add = [](ChartCurve& curve, double x, double y) {
        curve.x.push_back(x);
        curve.y.push_back(y);
    };
    for (const auto* o : points) {
        const auto middle = predicted(*ends.nominal, *o);
        const auto low = extreme(ends, *o, false);
        const auto high = extreme(ends, *o, true);
        if (!middle || !low || !high) continue;
        const double x = o->*rule.setting;
        add(chart.nominal, x, shown(rule, *o, *middle));
        add(chart.lowest, x, shown(rule, *o, *low));
        add(chart.highest, x, shown(rule, *o, *high));
        const double error = sure * o->uncertainty * o->value;
        if (o->value < *low - error || o->value > *high + error) beyond[o->specimen] = true;
    }
}

SpecimenChart chart_of(const SpecimenRule& rule, const CardEnds& ends,
                       const std::vector<const Observation*>& points) {
    SpecimenChart chart;
    chart.name = rule.name;
    chart.x = rule.x;
    chart.y = rule.y;
    std::map<std::string, bool> beyond;
    add_limits(ends, rule, points, chart, beyond);
    for (const auto* o : points) {
        auto curve = std::ranges::find(chart.specimens, o->specimen, &SpecimenCurve::name);
        if (curve == chart.specimens.end()) {
            chart.specimens.push_back({.name = o->specimen, .x = {}, .y = {}});
            curve = std::prev(chart.specimens.end());
        }
        curve->x.push_back(o->*rule.setting);
        curve->y.push_back(shown(rule, *o, o->value));
        curve->within = !beyond.contains(o->specimen);
    }
    chart.title = fmt::format("{} of {} specimens against {}", rule.words, chart.specimens.size(),
                              rule.x.words);
    return chart;
}

}  // namespace

Expected<std::vector<SpecimenChart>> specimen_charts(const CardFit& fit) {
    std::vector<SpecimenChart> charts;
    if (fit.specimens.size() < 2) return charts;
    const auto ends = ends_of(fit);
    if (!ends) return std::unexpected(ends.error());
    for (const auto& rule : rules_of(fit.card.kind)) {
        const auto points = points_of(fit, rule);
        if (points.empty()) continue;
        SpecimenChart chart = chart_of(rule, *ends, points);
        if (chart.specimens.size() >= 2) charts.push_back(std::move(chart));
    }
    return charts;
}

}  // namespace gapwright
