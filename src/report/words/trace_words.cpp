#include "report/words/trace_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/grid_survey.hpp"
#include "chart/mark_snap.hpp"
#include "chart/raster.hpp"
#include "chart/ready_chart.hpp"
#include "chart/trace_curve.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double told_move = 0.3;        // px: less is what clicks are off anyway
constexpr double worth_telling = 0.005;  // of full scale
constexpr double told_angle = 0.5;       // degrees between grid lines

std::string full_scale(double part) {
    return fmt::format("{} of full scale", percent(part, 2));
}

std::string four_corners(const TraceAxes& axes, const ChartScale& scale) {
    std::string words = "mark the plot's four corners with both values";
    const ChartPoint first = {.x = scale.x_range().first, .y = scale.y_range().first};
    if (axes.at_terminal) {
        words += fmt::format(", --mark \"{} at X,Y\" …", place_words(axes, first));
    }
    return words;
}

void tell_grid(std::vector<std::string>& cautions, const TraceAxes& axes, const ReadyChart& chart) {
    const auto worst = chart.worst_off();
    if (const double skew = chart.skew(); skew > 0) {
        constexpr double foreshortened = 0.1;  // twice what shared errors take of it
        cautions.push_back(fmt::format(
            "the axes as marked stand {:.1f}° off a right angle: the picture was taken "
            "at an angle, and readings may be wrong by {} and more; {}",
            skew * 180 / std::numbers::pi, full_scale(std::max(foreshortened, worst.value_or(0))),
            four_corners(axes, chart.scale)));
        return;
    }
    if (!worst) {
        cautions.emplace_back(
            "there is too little grid and frame to tell whether the picture was taken at an angle: "
            "if it was, readings are wrong, and four marks with both values are needed");
        return;
    }
    if (*worst < worth_telling) return;
    double angle = 0, sag = 0;
    for (const auto& fan : {chart.survey.level, chart.survey.upright}) {
        if (!fan) continue;
        angle = std::max(angle, fan->angle * 180 / std::numbers::pi);
        sag = std::max(sag, fan->sag);
    }
    if (sag > 0.5 * *worst) {
        cautions.push_back(
            fmt::format("grid lines are bent by {}: the page was not flat or the lens bends; "
                        "readings are wrong by about that; flatten the page and take the picture "
                        "from farther away",
                        full_scale(sag)));
    } else if (angle >= told_angle && chart.scale.is_affine()) {
        cautions.push_back(
            fmt::format("grid lines run {:.1f}° apart: the picture was taken at an angle, and "
                        "readings may be wrong by {}; {}",
                        angle, full_scale(*worst), four_corners(axes, chart.scale)));
    } else {
        cautions.push_back(
            fmt::format("grid lines do not run as the marks say, by {} at worst: a mark or its "
                        "value is wrong, or the picture is uneven; look at the overlay",
                        full_scale(*worst)));
    }
}

// Grid lines that lie otherwise than the axis' kind would have them.
void tell_spacing(std::vector<std::string>& cautions, const TraceAxes& axes, std::string_view axis,
                  const ScaleRange& range, const std::optional<LineFan>& fan) {
    const LineSpacing spacing = spacing_of(fan);
    if (spacing == LineSpacing::uneven && !range.logarithmic) {
        cautions.push_back(fmt::format(
            "grid lines along the {0} axis are spaced as on a logarithmic one, and it is read as "
            "linear: if it is logarithmic, every reading is wrong; then {1}",
            axis, axes.at_terminal ? fmt::format("say --{}-log", axis) : "say so"));
    }
    if (spacing != LineSpacing::even || !range.logarithmic) return;
    const double decades = std::abs(std::log10(range.second / range.first));
    if (static_cast<double>(fan->places.size()) - 1 > decades + 0.5) {
        cautions.push_back(fmt::format(
            "grid lines along the {0} axis are spaced evenly, {1} of them on {2:.2g} decades, and "
            "it is read as logarithmic: if it is linear, every reading is wrong; then {3}",
            axis, fan->places.size(), decades,
            axes.at_terminal ? fmt::format("leave out --{}-log", axis) : "say so"));
    }
}

}  // namespace

std::string axis_value(double value, Dimension dimension) {
    return dimension == Dimension::ratio ? percent(value, 3) : engineering(value, dimension);
}

std::string place_words(const TraceAxes& axes, ChartPoint place) {
    return fmt::format("{}, {}", axis_value(place.x, axes.x_dimension),
                       axis_value(place.y, axes.y_dimension));
}

std::string mark_words(const TraceAxes& axes, const ChartMark& mark) {
    if (mark.x && mark.y) return place_words(axes, {.x = *mark.x, .y = *mark.y});
    return mark.x ? axis_value(*mark.x, axes.x_dimension)
                  : axis_value(mark.y.value_or(0), axes.y_dimension);
}

std::vector<std::string> snap_notes(const TraceAxes& axes, const std::vector<ChartMark>& marks,
                                    const std::vector<SnappedMark>& snapped) {
    std::vector<std::string> moved, bare;
    for (std::size_t k = 0; k < marks.size(); ++k) {
        const std::string name = fmt::format("{} at {:.0f},{:.0f}", mark_words(axes, marks[k]),
                                             marks[k].at.x, marks[k].at.y);
        if (snapped[k].moved >= told_move) {
            moved.push_back(fmt::format("{} by {:.1f} px", name, snapped[k].moved));
        }
        // Of a mark of both values one line may be seen and the other not.
        if (!snapped[k].on_line && snapped[k].moved == 0) bare.push_back(name);
    }
    std::vector<std::string> notes;
    if (!moved.empty()) {
        notes.push_back(fmt::format("marks moved onto the line beside them: {}{}",
                                    fmt::join(moved, "; "),
                                    axes.at_terminal ? " (--as-marked leaves them)" : ""));
    }
    if (!bare.empty()) {
        notes.push_back(fmt::format("no single tick or grid line lies beside {}: taken as marked",
                                    fmt::join(bare, "; ")));
    }
    return notes;
}

Expected<MarkedScale> taken_marks(const Raster& raster, const std::vector<ChartMark>& marks,
                                  LogAxes log, TraceAxes& axes) {
    axes.marks = marks;
    auto marked = scale_of_marks(marks, log);
    if (!marked) return marked;
    const auto snapped = snapped_marks(raster, marked->scale, marks);
    auto moved = marks;
    for (std::size_t k = 0; k < marks.size(); ++k) moved[k] = snapped[k].mark;
    auto better = scale_of_marks(moved, log);
    if (!better) return marked;
    axes.notes = snap_notes(axes, marks, snapped);
    axes.marks = std::move(moved);
    return better;
}

std::vector<std::string> scale_cautions(const TraceAxes& axes, const MarkedScale& marked,
                                        const ReadyChart& chart) {
    std::vector<std::string> cautions;
    const PixelPoint wide = marked.scale.x_direction(), high = marked.scale.y_direction();
    const double side = std::min(std::hypot(wide.x, wide.y), std::hypot(high.x, high.y));
    const double off = marked.worst_off() / side;
    if (marked.spare > 0 && off >= worth_telling) {
        const ChartMark& mark = axes.marks[marked.worst()];
        cautions.push_back(
            fmt::format("marks do not fit each other: {} lies {:.1f} px from where the others put "
                        "it, {}; check "
                        "its place and value",
                        mark_words(axes, mark), marked.worst_off(), full_scale(off)));
    }
    tell_grid(cautions, axes, chart);
    constexpr double foreshortened = 0.02;  // of full scale: then lines lie unevenly anyway
    if (chart.worst_off().value_or(0) > foreshortened) return cautions;
    tell_spacing(cautions, axes, "x", marked.scale.x_range(), chart.survey.upright);
    tell_spacing(cautions, axes, "y", marked.scale.y_range(), chart.survey.level);
    return cautions;
}

std::optional<std::string> stretch_caution(const ReadyChart& chart, const TracedCurve& curve,
                                           int number) {
    constexpr double small = 0.15;  // of the plot, along either axis; own choice
    ChartPoint low{.x = 1e9, .y = 1e9}, high{.x = -1e9, .y = -1e9};
    for (const TracedPoint& point : curve.points) {
        const ChartPoint at = chart.scale.to_fraction(point.pixel);
        low = {.x = std::min(low.x, at.x), .y = std::min(low.y, at.y)};
        high = {.x = std::max(high.x, at.x), .y = std::max(high.y, at.y)};
    }
    const double stretch = std::max(high.x - low.x, high.y - low.y);
    if (stretch >= small) return std::nullopt;
    return fmt::format(
        "curve {} was followed over {} of the plot alone: look at the overlay whether it is one, "
        "or "
        "give a further place on it",
        number, percent(stretch, 2));
}

}  // namespace gapwright
