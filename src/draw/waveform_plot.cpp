#include "draw/waveform_plot.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "draw/axes.hpp"
#include "draw/curve_names.hpp"
#include "draw/dimension_line.hpp"
#include "draw/dimension_rows.hpp"
#include "draw/labels.hpp"
#include "draw/level_lines.hpp"
#include "draw/picture.hpp"
#include "draw/plots.hpp"
#include "draw/traces.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

constexpr double size = 11;
constexpr double left = 60;
constexpr double widest = 660;     // to the end of the levels' labels
constexpr double narrowest = 360;  // of the paper's right edge, however long those labels are
constexpr double plain_height = 84;
constexpr double dimensioned_height = 140;
constexpr double between = 34;        // panels, for the name of the lower
constexpr double row_pitch = 22;      // between dimension lines
constexpr double name_clearance = 5;  // of curves' names from curves
constexpr double foot = 8;            // from the lowest dimension line to the paper

// A panel's dimensions and where their lines go; indices are shared.
struct PanelDimensions {
    std::vector<const WaveformDimension*> of;
    std::vector<DimensionSpan> spans;
    std::vector<DimensionPlace> places;

    double head() const {
        std::size_t rows = 0;
        for (const auto& place : places) rows = std::max(rows, place.row + 1);
        return rows == 0 ? 0 : foot + row_pitch * static_cast<double>(rows);
    }
};

// Amber is for light alone, whatever class a curve comes with.
std::string curve_class(const WaveformPanel& panel, const PlotCurve& curve) {
    static constexpr std::string_view amber = " amber";
    std::string css = curve.css.empty() ? "curve" : curve.css;
    if (const auto at = css.find(amber); at != std::string::npos) css.erase(at, amber.size());
    return panel.light ? css + std::string(amber) : css;
}

double right_edge(const WaveformPlot& plot) {
    double margin = 0;
    for (const auto& panel : plot.panels) margin = std::max(margin, level_margin(panel.levels));
    return std::max(narrowest, widest - margin);
}

PanelDimensions dimensions_of(const WaveformPlot& plot, std::size_t panel, const Axes& time) {
    PanelDimensions result;
    const auto x_of = [&](double t) { return time.at(t, 0).x; };
    for (const auto& d : plot.dimensions) {
        if (d.panel != panel || !std::isfinite(d.from) || !std::isfinite(d.to)) continue;
        const auto [from, to] = std::minmax(d.from, d.to);
        if (to < plot.from || from > plot.to) continue;
        result.of.push_back(&d);
        result.spans.push_back({x_of(from), x_of(to), d.label});
    }
    const Box& paper = time.paper();
    result.places = dimension_rows(result.spans, paper.left + 4, paper.right - 4);
    return result;
}

class PanelDrawing {
  public:
    PanelDrawing(Picture& picture, const WaveformPanel& panel, const Axes& axes)
        : picture_(picture), panel_(panel), axes_(axes), labels_(picture, axes.paper()) {
        for (const auto& curve : panel.curves) {
            curves_.push_back(thinned(cut(curve.points, axes.x().low, axes.x().high), axes));
        }
    }

    void draw(const PanelDimensions& dimensions, const std::vector<double>& marks) {
        const Box& paper = axes_.paper();
        for (const double mark : marks) {
            if (!(mark >= axes_.x().low && mark <= axes_.x().high)) continue;
            const double x = axes_.at(mark, 0).x;
            picture_.line({{x, paper.top}, {x, paper.bottom}}, "thin");
            labels_.keep_clear_of({x - 2, paper.top, x + 2, paper.bottom});
        }
        draw_levels(picture_, axes_, panel_.levels);
        for (const auto& level : panel_.levels) {
            const double y = axes_.at(0, level.value).y;
            labels_.keep_clear_of({paper.left, y - 1, paper.right, y + 1});
        }
        for (std::size_t k = 0; k < curves_.size(); ++k) {
            draw_trace(picture_, axes_, curves_[k], curve_class(panel_, panel_.curves[k]));
            labels_.keep_clear_of(axes_, curves_[k], name_clearance);
        }
        for (std::size_t k = 0; k < dimensions.of.size(); ++k) {
            draw_dimension_line(*dimensions.of[k], dimensions.spans[k], dimensions.places[k]);
        }
        for (std::size_t k = 0; k < dimensions.of.size(); ++k) {
            const auto& place = dimensions.places[k];
            // Widths are estimated from above: in the middle of its room a label is not far off.
            picture_.text({(place.text_left + place.text_right) / 2, line_of(place) - 6},
                          dimensions.spans[k].label, "small over", Anchor::middle, size);
        }
        std::vector<std::string> names;
        for (const auto& curve : panel_.curves) names.push_back(curve.label);
        name_curves(picture_, axes_, labels_, paper, curves_, names,
                    panel_.light ? "light over" : "small over");
    }

  private:
    double line_of(const DimensionPlace& place) const {
        return axes_.paper().top - foot - row_pitch * static_cast<double>(place.row);
    }

    // Where the earlier end meets the curve that the later end sits on.
    std::optional<double> start_of(const WaveformDimension& d) const {
        std::optional<double> start;
        double nearest = 0;
        for (const auto& curve : curves_) {
            const auto from = value_at(curve, std::min(d.from, d.to));
            const auto to = value_at(curve, std::max(d.from, d.to));
            if (!from || !to) continue;
            const double away = std::abs(*to - d.at_level);
            if (start && away >= nearest) continue;
            nearest = away;
            start = from;
        }
        return start;
    }

    void extension(double x, double line, double end) {
        picture_.line({{x, line}, {x, end}}, "thin");
        labels_.keep_clear_of({x - 2, axes_.paper().top, x + 2, end});
    }

    void draw_dimension_line(const WaveformDimension& d, const DimensionSpan& span,
                             const DimensionPlace& place) {
        const double y = line_of(place);
        const auto start = start_of(d);
        extension(span.left, y, start ? axes_.at(0, *start).y : axes_.paper().top);
        const Point end{span.right, axes_.at(0, d.at_level).y};
        extension(end.x, y, end.y);
        picture_.circle(end, 2.2, "dot");
        draw_level_arrows(picture_, span.left, span.right, y);
        // Under a label that stands out over its span the line goes on.
        if (place.text_left < span.left) {
            picture_.line({{place.text_left, y}, {span.left, y}}, "thin");
        }
        if (place.text_right > span.right) {
            picture_.line({{span.right, y}, {place.text_right, y}}, "thin");
        }
    }

    Picture& picture_;
    const WaveformPanel& panel_;
    const Axes& axes_;
    Labels labels_;
    std::vector<std::vector<Point>> curves_;  // as drawn
};

}  // namespace

Picture draw_waveforms(const WaveformPlot& plot) {
    Picture picture(plot.title, plot.description);
    const AxisRange time =
        usable({.low = plot.from, .high = plot.to, .dimension = Dimension::time, .label = "time"});
    const double right = right_edge(plot);
    double top = 20;
    for (std::size_t k = 0; k < plot.panels.size(); ++k) {
        const auto& panel = plot.panels[k];
        const auto dimensions = dimensions_of(plot, k, Axes(time, panel.y, {left, 0, right, 1}));
        const double head = dimensions.head();
        const double height = std::max(dimensions.of.empty() ? plain_height : dimensioned_height,
                                       level_height(panel.levels));
        const Axes axes(time, panel.y, {left, top + head, right, top + head + height});
        axes.draw(picture, {.x_words = k + 1 == plot.panels.size(), .head = head});
        PanelDrawing(picture, panel, axes).draw(dimensions, plot.marks);
        top += head + height + between;
    }
    return picture;
}

}  // namespace gapwright
