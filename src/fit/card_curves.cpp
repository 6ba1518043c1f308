#include "fit/card_curves.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "device/constants.hpp"
#include "fit/fitted_law.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// What a chart shows: an observation whose one setting runs along x.
struct ChartRule {
    CardChart chart;          // without curves
    Observation base;         // the settings that stay
    double Observation::* x;  // what is set
    double low = 0;
    double high = 0;
    bool as_ctr = false;
    double Observation::* of = nullptr;  // what tells curves apart
    std::vector<double> each = {};
    Dimension each_dimension = Dimension::current;
};

// What charts of temperature span (common practice).
constexpr double coldest_shown = zero_celsius - 25;
constexpr double hottest_shown = zero_celsius + 85;

double limit_or(const Description& card, Key key, double otherwise) {
    const auto* figure = card.find(key);
    return figure ? figure->spread.nominal : otherwise;
}

ChartRule forward_chart(const Description& card) {
    ChartRule rule;
    rule.chart.name = "forward";
    rule.chart.title = "Forward current against forward voltage, 25 °C";
    rule.chart.x = {"forward voltage", Dimension::voltage};
    rule.chart.y = {"forward current", Dimension::current, true};
    rule.base.measured = Measured::forward_voltage;
    rule.x = &Observation::forward_current;
    rule.high = limit_or(card, Key::forward_current, 50e-3);
    rule.low = rule.high * 1e-3;
    rule.chart.set_upright = true;
    return rule;
}

Observation lit(const Description& card) {
    Observation o{.measured = Measured::collector_current};
    const auto* ctr = card.find(Key::ctr);
    o.forward_current = ctr ? ctr->conditions[0] : 5e-3;
    o.collector_emitter_voltage = ctr && ctr->conditions.size() > 1 ? ctr->conditions[1] : 5;
    return o;
}

ChartRule transfer_chart(const Description& card) {
    ChartRule rule;
    rule.base = lit(card);
    rule.chart.name = "transfer";
    rule.chart.title =
        fmt::format("Current transfer ratio against forward current, {} collector–emitter, 25 °C",
                    engineering_short(rule.base.collector_emitter_voltage, Dimension::voltage));
    rule.chart.x = {"forward current", Dimension::current, true};
    rule.chart.y = {"current transfer ratio", Dimension::ratio, false, true};
    rule.x = &Observation::forward_current;
    rule.high = limit_or(card, Key::forward_current, 50e-3);
    rule.low = rule.high * 2e-3;
    rule.as_ctr = true;
    return rule;
}

ChartRule output_chart(const Description& card) {
    ChartRule rule;
    rule.base = lit(card);
    const bool packaged = card.kind == Kind::coupler;
    rule.chart.name = "output";
    rule.chart.title = packaged
                           ? "Collector current against collector–emitter voltage, 25 °C; a curve "
                             "for each forward current"
                           : "Collector current against collector–emitter voltage, 25 °C; a curve "
                             "for each irradiance";
    rule.chart.x = {"collector–emitter voltage", Dimension::voltage};
    rule.chart.y = {"collector current", Dimension::current};
    rule.x = &Observation::collector_emitter_voltage;
    rule.high = 10;
    rule.low = 0.02;
    const double strongest = packaged ? std::min(limit_or(card, Key::forward_current, 50e-3), 20e-3)
                                      : 2 * card.at(Key::sensitivity).conditions[0];
    rule.of = packaged ? &Observation::forward_current : &Observation::irradiance;
    rule.each = {strongest / 4, strongest / 2, strongest};
    rule.each_dimension = packaged ? Dimension::current : Dimension::irradiance;
    return rule;
}

ChartRule temperature_chart(const Description& card) {
    ChartRule rule;
    rule.base = lit(card);
    rule.chart.name = "temperature";
    rule.chart.title =
        fmt::format("Current transfer ratio against temperature, {}, {}",
                    engineering_short(rule.base.forward_current, Dimension::current),
                    engineering_short(rule.base.collector_emitter_voltage, Dimension::voltage));
    rule.chart.x = {"temperature", Dimension::temperature};
    rule.chart.y = {"current transfer ratio", Dimension::ratio, false, true};
    rule.x = &Observation::temperature;
    rule.low = coldest_shown;
    rule.high = hottest_shown;
    rule.as_ctr = true;
    return rule;
}

ChartRule dark_chart() {
    ChartRule rule;
    rule.chart.name = "dark";
    rule.chart.title = "Dark current against temperature, 10 V collector–emitter";
    rule.chart.x = {"temperature", Dimension::temperature};
    rule.chart.y = {"dark current", Dimension::current, true};
    rule.base.measured = Measured::dark_current;
    rule.base.collector_emitter_voltage = 10;
    rule.x = &Observation::temperature;
    rule.low = coldest_shown;
    rule.high = hottest_shown;
    return rule;
}

ChartRule light_chart(const Description& card) {
    ChartRule rule;
    rule.chart.name = "light";
    rule.chart.title = "Resistance against illuminance";
    rule.chart.x = {"illuminance", Dimension::illuminance, true};
    rule.chart.y = {"resistance", Dimension::resistance, true};
    rule.base.measured = Measured::resistance;
    rule.x = &Observation::illuminance;
    const double middle = card.at(Key::resistance).conditions[0];
    rule.low = middle / 100;
    rule.high = middle * 100;
    return rule;
}

std::vector<ChartRule> rules_of(const Description& card) {
    const auto law = fitted_law(card.kind);
    if (!law) return {};
    switch (*law) {
        case FittedLaw::junction:
            return {forward_chart(card)};
        case FittedLaw::coupler:
            return {forward_chart(card), transfer_chart(card), output_chart(card),
                    temperature_chart(card), dark_chart()};
        case FittedLaw::phototransistor:
            return {output_chart(card), dark_chart()};
        case FittedLaw::light_resistor:
            return {light_chart(card)};
    }
    return {};
}

// The figures whose spread moves a chart's curve as a whole: what the chart is of, and whether a
// larger one lets less current through.
struct LeadingFigure {
    Key key;
    Measured of;
    bool larger_is_weaker = false;
};
constexpr LeadingFigure leading[] = {{Key::forward, Measured::forward_voltage, true},
                                     {Key::ctr, Measured::collector_current},
                                     {Key::photocurrent_ratio, Measured::collector_current},
                                     {Key::sensitivity, Measured::collector_current},
                                     {Key::resistance, Measured::resistance, true},
                                     {Key::dark_current, Measured::dark_current}};

// The card with that figure at one end; none where it states no spread.
std::optional<Description> at_end(const Description& card, Measured measured, bool strongest) {
    for (const auto& figure : leading) {
        const auto* stated = card.find(figure.key);
        if (figure.of != measured || !stated || !stated->spread.varies()) continue;
        Description moved = card;
        moved.figures[figure.key].spread = exactly(
            strongest != figure.larger_is_weaker ? stated->spread.highest : stated->spread.lowest);
        return moved;
    }
    return std::nullopt;
}

// Where the card states the figure that the chart is of.
std::optional<double> stated_at(const Description& card, const ChartRule& rule) {
    const auto condition = [&](Key key, std::size_t k) -> std::optional<double> {
        const auto* figure = card.find(key);
        if (!figure || figure->conditions.size() <= k) return std::nullopt;
        return figure->conditions[k];
    };
    if (rule.x == &Observation::illuminance) return condition(Key::resistance, 0);
    if (rule.x == &Observation::collector_emitter_voltage) return condition(Key::ctr, 1);
    if (rule.x != &Observation::forward_current) return std::nullopt;
    return condition(rule.as_ctr ? Key::ctr : Key::forward, 0);
}

constexpr double same_setting = 1e-9;  // a share

// The settings between a chart's ends that people read: 1-2-5 steps, every 25 °C.
std::vector<double> readings_of(const Description& card, const ChartRule& rule) {
    std::vector<double> all;
    if (rule.x == &Observation::temperature) {
        constexpr double step = 25;
        const double first = std::ceil((rule.low - zero_celsius) / step - same_setting);
        for (double t = first * step + zero_celsius; t <= rule.high; t += step) all.push_back(t);
        return all;
    }
    const auto within = [&](double setting) {
        return setting >= rule.low * (1 - same_setting) &&
               setting <= rule.high * (1 + same_setting);
    };
    const int last = static_cast<int>(std::ceil(std::log10(rule.high)));
    for (int k = static_cast<int>(std::floor(std::log10(rule.low))); k <= last; ++k) {
        for (const double factor : {1.0, 2.0, 5.0}) {
            const double setting = factor * std::pow(10.0, k);
            if (within(setting)) all.push_back(setting);
        }
    }
    if (const auto stated = stated_at(card, rule); stated && within(*stated)) {
        std::erase_if(all,
                      [&](double s) { return std::abs(s - *stated) <= same_setting * *stated; });
        all.insert(std::ranges::lower_bound(all, *stated), *stated);
    }
    return all;
}

double along(const ChartRule& rule, double share) {
    const bool logarithmic = rule.chart.setting().logarithmic;
    // (output curves bend at their left end)
    if (!logarithmic && rule.x == &Observation::collector_emitter_voltage) share *= share;
    return logarithmic ? rule.low * std::pow(rule.high / rule.low, share)
                       : rule.low + (rule.high - rule.low) * share;
}

// Dense steps for the picture, and the readings among them.
std::vector<double> settings_of(const ChartRule& rule) {
    const auto& readings = rule.chart.readings;
    std::vector<double> settings = readings;
    constexpr int steps = 80;
    for (int k = 0; k <= steps; ++k) {
        const double setting = along(rule, static_cast<double>(k) / steps);
        const bool is_reading = std::ranges::any_of(readings, [&](double reading) {
            return std::abs(setting - reading) <= same_setting * reading;
        });
        if (!is_reading) settings.push_back(setting);
    }
    std::ranges::sort(settings);
    return settings;
}

Expected<std::vector<ChartCurve>> curves_of(const Description& card, const ChartRule& rule) {
    Description asked = card;
    if (asked.find(Key::saturation_current)) asked = forward_at(std::move(asked), 10e-3);
    auto model = part_model(asked, {});
    if (!model) return std::unexpected(model.error());
    std::vector<ChartCurve> curves;
    const std::vector<double> settings = settings_of(rule);
    const std::vector<double> each = rule.each.empty() ? std::vector<double>{0} : rule.each;
    for (const double of : each) {
        ChartCurve curve;
        Observation o = rule.base;
        if (rule.of) {
            o.*rule.of = of;
            curve.name = engineering_short(of, rule.each_dimension, 3);
        }
        for (const double setting : settings) {
            o.*rule.x = setting;
            double value = 0;
            if (!(*model)->predict(o, {}, value, {})) continue;
            if (rule.as_ctr) value /= o.forward_current;
            curve.x.push_back(rule.chart.set_upright ? value : setting);
            curve.y.push_back(rule.chart.set_upright ? setting : value);
        }
        curves.push_back(std::move(curve));
    }
    return curves;
}

// Those of the points that belong to a chart: measured alike, at the settings that stay.
std::vector<ChartCurve> points_of(const ChartRule& rule, std::span<const Observation> measured) {
    ChartCurve dots;
    const auto same = [](double a, double b) {
        return std::abs(a - b) <= 0.02 * std::max(std::abs(a), std::abs(b));
    };
    for (const auto& o : measured) {
        if (o.measured != rule.base.measured) continue;
        bool belongs = true;
        for (double Observation::* setting :
             {&Observation::forward_current, &Observation::irradiance, &Observation::temperature,
              &Observation::collector_emitter_voltage}) {
            if (setting == rule.x || setting == rule.of) continue;
            belongs = belongs && same(o.*setting, rule.base.*setting);
        }
        if (!belongs) continue;
        const double value = rule.as_ctr ? o.value / o.forward_current : o.value;
        dots.x.push_back(rule.chart.set_upright ? value : o.*rule.x);
        dots.y.push_back(rule.chart.set_upright ? o.*rule.x : value);
    }
    if (dots.x.empty()) return {};
    return {std::move(dots)};
}

// Curves go as far as points do.
void reach_to(const std::vector<ChartCurve>& points, ChartRule& rule) {
    for (const auto& curve : points) {
        for (const double setting : rule.chart.set_upright ? curve.y : curve.x) {
            rule.high = std::max(rule.high, setting);
            if (setting > 0) rule.low = std::min(rule.low, setting);
        }
    }
}

}  // namespace

bool has_charts(Kind kind) {
    return can_be_fitted(kind);
}

std::optional<double> read_at(const CardChart& chart, const ChartCurve& curve, double reading) {
    const auto& settings = chart.set_upright ? curve.y : curve.x;
    const auto found = std::ranges::find(settings, reading);
    if (found == settings.end()) return std::nullopt;
    return (chart.set_upright ? curve.x
                              : curve.y)[static_cast<std::size_t>(found - settings.begin())];
}

Expected<std::vector<CardChart>> card_charts(const Description& card,
                                             std::span<const Observation> measured) {
    std::vector<CardChart> charts;
    for (auto& rule : rules_of(card)) {
        auto points = points_of(rule, measured);
        reach_to(points, rule);
        rule.chart.readings = readings_of(card, rule);
        auto curves = curves_of(card, rule);
        if (!curves) return std::unexpected(curves.error());
        CardChart chart = rule.chart;
        chart.curves = std::move(*curves);
        if (chart.curves.size() == 1) {
            for (const bool strongest : {false, true}) {
                const auto moved = at_end(card, rule.base.measured, strongest);
                if (!moved) continue;
                auto ends = curves_of(*moved, rule);
                if (!ends) return std::unexpected(ends.error());
                (strongest ? chart.strongest : chart.weakest) = std::move(*ends);
            }
        }
        chart.measured = std::move(points);
        charts.push_back(std::move(chart));
    }
    return charts;
}

}  // namespace gapwright
