// The curves that a card stands for, as charts of a data sheet show them.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "fit/observation.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// One axis of a chart.
struct ChartAxis {
    std::string words;  // "forward voltage"
    Dimension dimension = Dimension::voltage;
    bool logarithmic = false;
    bool percent = false;
};

struct ChartCurve {
    std::string name;  // "5 mA"; empty where there is only one
    std::vector<double> x;
    std::vector<double> y;
};

struct CardChart {
    std::string name;   // for files, "forward"
    std::string title;  // "Forward current against forward voltage, 25 °C"
    ChartAxis x;
    ChartAxis y;
    std::vector<ChartCurve> curves;     // nominal
    std::vector<ChartCurve> weakest;    // the card's spread, where it states one: by curve, lower
    std::vector<ChartCurve> strongest;  // and upper end; empty where it states none
    std::vector<ChartCurve> measured;   // points, where there are any
    // What was set, and what followed: a forward chart's curves run along their current, upright.
    bool set_upright = false;
    // The settings that a table of the chart reads: 1-2-5 steps, every 25 °C, and where the card
    // states its figure. Every curve was taken at each of them, besides denser steps.
    std::vector<double> readings;

    const ChartAxis& setting() const { return set_upright ? y : x; }
    const ChartAxis& result() const { return set_upright ? x : y; }
};

// What a curve of the chart gives at one of its readings; none where the model had no answer.
std::optional<double> read_at(const CardChart& chart, const ChartCurve& curve, double reading);

// The charts of a card; none for kinds that have no curves here (resistors, logic, batteries …).
// `measured` may be empty. Errors: those of part_model.
Expected<std::vector<CardChart>> card_charts(const Description& card,
                                             std::span<const Observation> measured);

// Whether card_charts has something to draw for the kind.
bool has_charts(Kind kind);

}  // namespace gapwright
