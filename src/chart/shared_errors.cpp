#include "chart/shared_errors.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/grid_survey.hpp"
#include "chart/ready_chart.hpp"
#include "chart/trace_curve.hpp"

namespace gapwright {

void add_shared_errors(TracedCurve& curve, const ReadyChart& chart,
                       const std::vector<ChartMark>& marks, double mark_error) {
    constexpr double flattest = 0.02;  // as of a point's own error
    // Two marks an axis do not tell how a picture taken at an angle is foreshortened, and its grid
    // not always: drawn ones were wrong by up to 13 % (tests/reference/drawn_charts).
    constexpr double of_skewed = 0.05;
    const bool skewed = chart.skew() > 0;
    const ChartScale& scale = chart.scale;
    const auto moved = scales_with_moved_marks(
        marks, {.x = scale.x_range().logarithmic, .y = scale.y_range().logarithmic}, mark_error);
    std::vector<ChartPoint> places;
    for (const TracedPoint& point : curve.points) places.push_back(scale.to_fraction(point.pixel));
    for (std::size_t k = 0; k < places.size(); ++k) {
        TracedPoint& point = curve.points[k];
        const ChartPoint here = places[k];
        const ChartPoint& before = places[k > 2 ? k - 2 : 0];
        const ChartPoint& behind = places[std::min(places.size() - 1, k + 2)];
        const double u = behind.x - before.x, v = behind.y - before.y;
        const double least = flattest * std::hypot(u, v);
        const double run = std::max(std::abs(u), least), rise = std::max(std::abs(v), least);
        double of_y = 0, of_x = 0;  // squares, fractions
        const auto add = [&](double du, double dv) {
            const double across = dv * u - du * v;
            of_y += std::pow(across / run, 2);
            of_x += std::pow(across / rise, 2);
        };
        for (const ChartScale& other : moved) {
            const ChartPoint there = other.to_fraction(point.pixel);
            add(there.x - here.x, there.y - here.y);
        }
        const ChartPoint off = reading_off(chart.survey, here, chart.setting.anchor);
        add(off.x, off.y);
        if (chart.survey.level) add(0, chart.survey.level->sag);
        if (chart.survey.upright) add(chart.survey.upright->sag, 0);
        if (skewed) {
            add(of_skewed, 0);
            add(0, of_skewed);
        }
        point.shared_error = std::sqrt(of_y) * scale.y_slope(point.y);
        // Across the curve: as if it were looked at along its normal.
        const double size = std::max(1e-12, std::hypot(u, v));
        point.shared_share = std::sqrt(of_y) * run / size;
        point.shared_x_error = std::sqrt(of_x) * scale.x_slope(point.x);
    }
}

ChartPoint anchor_of(const ChartScale& scale, const std::vector<ChartMark>& marks) {
    double x = 0, y = 0, of_x = 0, of_y = 0;
    for (const ChartMark& mark : marks) {
        const ChartPoint at = scale.to_fraction(mark.at);
        if (mark.y) {
            x += at.x;
            of_y += 1;
        }
        if (mark.x) {
            y += at.y;
            of_x += 1;
        }
    }
    return {.x = of_y > 0 ? x / of_y : 0, .y = of_x > 0 ? y / of_x : 0};
}

}  // namespace gapwright
