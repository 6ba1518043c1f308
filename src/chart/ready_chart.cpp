#include "chart/ready_chart.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <expected>
#include <numbers>
#include <optional>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/grid_survey.hpp"
#include "chart/ink_map.hpp"
#include "chart/legend_samples.hpp"
#include "chart/paper_tone.hpp"
#include "chart/raster.hpp"
#include "chart/working_picture.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

constexpr std::array<ChartPoint, 4> unit_corners = {
    {{.x = 0, .y = 0}, {.x = 1, .y = 0}, {.x = 1, .y = 1}, {.x = 0, .y = 1}}};

ChartArea area_of(const ChartScale& scale, const ChartSetting& setting) {
    ChartArea area;
    if (setting.corners) {
        const ChartPoint a = scale.to_fraction(setting.corners->first);
        const ChartPoint b = scale.to_fraction(setting.corners->second);
        area.low = {.x = std::min(a.x, b.x), .y = std::min(a.y, b.y)};
        area.high = {.x = std::max(a.x, b.x), .y = std::max(a.y, b.y)};
    }
    return area;
}

// The scale in which the surveyed lines would run straight and level: only for following curves,
// values are read with the scale that was marked.
std::optional<ChartScale> straightened(const ChartScale& scale, const GridSurvey& survey,
                                       ChartPoint anchor) {
    std::vector<ChartMark> marks;
    for (const ChartPoint& corner : unit_corners) {
        const ChartPoint off = reading_off(survey, corner, anchor);
        ChartMark mark;
        mark.at = scale.from_fraction({.x = corner.x + off.x, .y = corner.y + off.y});
        mark.x = scale.x_range().value(corner.x);
        mark.y = scale.y_range().value(corner.y);
        marks.push_back(mark);
    }
    const auto straight =
        scale_of_marks(marks, {.x = scale.x_range().logarithmic, .y = scale.y_range().logarithmic});
    if (!straight) return std::nullopt;
    return straight->scale;
}

// Whether the grid runs off by more than lines are wide.
bool runs_off(const GridSurvey& survey, const WorkingPicture& work) {
    constexpr double tolerable = 2;  // px; without_grid follows tilts of a few
    const PixelPoint wide = work.scale.x_direction(), high = work.scale.y_direction();
    const double width = std::hypot(wide.x, wide.y), height = std::hypot(high.x, high.y);
    const auto most = [](const std::optional<LineFan>& fan) {
        return fan ? std::abs(fan->tilt) + 0.5 * std::abs(fan->fan) : 0;
    };
    return most(survey.level) * height > tolerable || most(survey.upright) * width > tolerable;
}

}  // namespace

std::optional<double> ReadyChart::worst_off() const {
    if (!survey.level && !survey.upright) return std::nullopt;
    double worst = 0;
    for (double u = 0; u <= 1; u += 0.25) {
        for (double v = 0; v <= 1; v += 0.25) {
            const ChartPoint off = reading_off(survey, {.x = u, .y = v}, setting.anchor);
            worst = std::max({worst, std::abs(off.x), std::abs(off.y)});
        }
    }
    for (const auto& fan : {survey.level, survey.upright}) {
        if (fan) worst = std::max(worst, fan->sag);
    }
    return worst;
}

double ReadyChart::skew() const {
    constexpr double least = 0.3 * std::numbers::pi / 180;
    constexpr double clicked = 3 * 0.7 * std::numbers::sqrt2;  // px: three deviations of two marks
    if (!scale.is_affine()) return 0;
    const PixelPoint wide = scale.x_direction(), high = scale.y_direction();
    const double across = std::hypot(wide.x, wide.y), up = std::hypot(high.x, high.y);
    const double off = std::abs(std::asin((wide.x * high.x + wide.y * high.y) / (across * up)));
    return off > std::max(least, clicked * std::hypot(1 / across, 1 / up)) ? off : 0;
}

Expected<ReadyChart> ready_chart(const Raster& raster, const ChartScale& scale,
                                 const ChartSetting& setting) {
    const PixelPoint wide = scale.x_direction(), high = scale.y_direction();
    if (!(std::hypot(wide.x, wide.y) > 1) || !(std::hypot(high.x, high.y) > 1)) {
        Diagnostic diagnostic{
            .cause = Cause::contradiction, .place = {}, .message = {}, .remedy = {}};
        diagnostic.message = "the marks make no plot";
        diagnostic.remedy = "mark values far apart on both axes";
        return std::unexpected(only(std::move(diagnostic)));
    }
    const ChartArea marked = area_of(scale, setting);
    WorkingPicture work = working_picture(raster, scale, marked);
    ToneMap tones(work.raster);
    Plane darkness = darkness_of(tones);
    const GridSurvey survey = survey_grid(darkness, work.scale, marked);
    ChartArea area = marked;
    if (runs_off(survey, work)) {
        if (const auto straight = straightened(scale, survey, setting.anchor)) {
            area = area_of(*straight, setting);
            work = working_picture(raster, *straight, area);
            tones = ToneMap(work.raster);
            darkness = darkness_of(tones);
        }
    }
    auto legends = find_legends(without_grid(darkness, work.scale, area), work.scale, area);
    return ReadyChart{.scale = scale,
                      .work = std::move(work),
                      .area = area,
                      .tones = std::move(tones),
                      .survey = survey,
                      .legends = std::move(legends),
                      .setting = setting};
}

}  // namespace gapwright
