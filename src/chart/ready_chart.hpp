// A chart's picture made ready for reading: straightened, its grid surveyed, its legends found.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/grid_survey.hpp"
#include "chart/ink_map.hpp"
#include "chart/legend_samples.hpp"
#include "chart/paper_tone.hpp"
#include "chart/raster.hpp"
#include "chart/working_picture.hpp"

namespace gapwright {

struct ChartSetting {
    // Two opposite corners of the plot, in pixels; without them the rectangle between the marks of
    // the axes.
    std::optional<std::pair<PixelPoint, PixelPoint>> corners = std::nullopt;
    // The fractions at which the marks of y (its x) and of x (its y) stand.
    ChartPoint anchor = {.x = 0, .y = 0};
    // A place as people read it, "1.2 V, 10 mA"; empty: plain numbers.
    std::function<std::string(ChartPoint)> words = {};
};

struct ReadyChart {
    ChartScale scale;                  // of the picture as it was given
    WorkingPicture work;               // upright, and straight as far as its grid tells
    ChartArea area = {};               // fractions of the working picture's scale
    ToneMap tones;                     // of the working picture
    GridSurvey survey = {};            // of what `scale` takes for level and upright
    std::vector<Legend> legends = {};  // px of the working picture
    ChartSetting setting = {};

    // How far readings with `scale` are off where they are worst, fraction of the plot, by what
    // the grid shows; nothing where there is too little grid to tell.
    [[nodiscard]] std::optional<double> worst_off() const;

    // How far the axes, as marked, stand off a right angle, radians; zero where clicks may make it,
    // or four marks have told the picture's angle. No scanner makes it: such a picture was taken at
    // an angle.
    [[nodiscard]] double skew() const;
};

// Errors: too_large above 40 megapixels (largest_picture_area), contradiction where a scale has no
// extent in the picture.
Expected<ReadyChart> ready_chart(const Raster& raster, const ChartScale& scale,
                                 const ChartSetting& setting);

}  // namespace gapwright
