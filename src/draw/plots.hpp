// The plots of a report: margins, load lines, a population's histogram, life. Each takes plain
// results and draws them; none solves anything.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/picture.hpp"

namespace gapwright {

enum class Standing : unsigned char {
    kept,
    thin,
    unknown,
    broken
};  // a verdict, as pictures show it

// One promise or rating: its bound, worst and nominal value, and drawn values as a strip of ticks.
struct MarginRow {
    std::string label;
    std::string value_text;  // "17.0 mA of at most 20 mA"
    double bound = 0;
    double worst = 0;
    double nominal = 0;
    bool at_least = false;
    std::vector<double> drawn;
    Standing standing = Standing::kept;
};
Picture draw_margins(const std::string& title, const std::vector<MarginRow>& rows);
// One row's bar alone, for a table that says the rest.
Picture draw_margin_bar(const MarginRow& row);

// A part's own curves against what the rest of the circuit lets it have.
struct PlotCurve {
    std::string label;
    std::string css;  // "curve weak", "curve amber" …
    std::vector<Point> points;
};
struct PlotMark {
    std::string label;
    Point at;
};
struct LoadLinePlot {
    std::string title;
    AxisRange x;
    AxisRange y;
    std::vector<PlotCurve> curves;
    std::vector<PlotMark> marks;      // operating points
    std::optional<double> largest_x;  // limits of the card
    std::optional<double> largest_y;
};
Picture draw_load_lines(const LoadLinePlot& plot);

struct HistogramPlot {
    std::string title;
    AxisRange x;
    double first = 0;                   // where the first bar begins
    double bar = 0;                     // how wide each is
    std::vector<std::uint64_t> counts;  // how high
    std::uint64_t specimens = 0;        // of how many
    std::optional<double> at_least;
    std::optional<double> at_most;
    double nominal = 0;
};
Picture draw_histogram(const HistogramPlot& plot);

// Light left, and each promise's reserve, against years.
struct LifePlot {
    std::string title;
    std::vector<double> years;
    std::vector<PlotCurve> curves;  // y as a share
};
Picture draw_life(const LifePlot& plot);

}  // namespace gapwright
