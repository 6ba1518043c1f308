// A chart's scale from any number of marked places, and how well they agree.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

// A place in the picture where the value of x, of y, or of both is known: it lies on the line of
// that value, or where the lines of both cross.
struct ChartMark {
    PixelPoint at = {};
    std::optional<double> x = std::nullopt;  // in the axis' unit
    std::optional<double> y = std::nullopt;
};

struct MarkedScale {
    ChartScale scale;
    std::vector<double> off = {};  // px, of each mark from the lines of its values
    // What marks say more than a scale needs; with none `off` is 0 whatever was marked wrong.
    int spare = 0;

    [[nodiscard]] std::size_t worst() const;  // the mark that is farthest off
    [[nodiscard]] double worst_off() const { return off[worst()]; }
};

// Which axes are logarithmic.
struct LogAxes {
    bool x = false;
    bool y = false;
};

// A projective map by least squares of the marks' pixels where marks determine one to a pixel or
// so all over the plot, as four corners do; else an affine one: along an axis whose marks lie on
// one line, lines of the other axis' values run along that line. Errors, with remedies:
// missing_key with fewer than two values of an axis; contradiction where places or values coincide,
// all marks lie almost on one line, or marks lie farther than most_off from where the others put
// them; out_of_range as of ChartScale::make.
Expected<MarkedScale> scale_of_marks(const std::vector<ChartMark>& marks, LogAxes log);

// Own choice: a mark is wrong that lies farther off, as a part of the plot's longer side.
inline constexpr double most_off = 0.02;

// What marks that are each `error` px off, each in its own direction, do to a reading at a place:
// scales with one coordinate of one mark moved by that much. Squares of their differences add up.
std::vector<ChartScale> scales_with_moved_marks(const std::vector<ChartMark>& marks, LogAxes log,
                                                double error);

}  // namespace gapwright
