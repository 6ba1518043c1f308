// An eye: a signal's bits laid over one another, and how far open it is where it is sampled.
#pragma once

#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/level_lines.hpp"
#include "draw/picture.hpp"

namespace gapwright {

struct EyePlot {
    std::string title;
    double bit = 0;  // s, the length of one bit
    AxisRange y;
    std::vector<std::vector<Point>> traces;  // x from 0 to two bits, in s and not falling
    double sampling = 0;                     // s, from 0 to two bits
    // At the sampling instant, in the y axis' unit; the eye is closed where the first is not above
    // the second.
    double lowest_high = 0;
    double highest_low = 0;
    std::vector<PlotLevel> levels;  // thresholds
};
Picture draw_eye(const EyePlot& plot);

}  // namespace gapwright
