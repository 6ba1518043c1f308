// Waveforms above one another on one time axis, with times dimensioned as on a drawing.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/level_lines.hpp"
#include "draw/picture.hpp"
#include "draw/plots.hpp"

namespace gapwright {

// One quantity against time: the drive, the light, the output.
struct WaveformPanel {
    AxisRange y;                    // its label names the panel: "output side"
    std::vector<PlotCurve> curves;  // x in s, not falling; y in the axis' unit
    std::vector<PlotLevel> levels;  // thresholds
    bool light = false;             // curves in the accent of light, which no other panel has
};

// A span of time, from an instant on one curve to another: "turn-off 8.42 µs".
struct WaveformDimension {
    std::size_t panel = 0;  // above whose curves the line stands; beyond the panels: left out
    double from = 0;        // s
    double to = 0;          // s, either side of `from`
    double at_level = 0;    // y, in the panel's unit, where the later end sits on a curve
    std::string label;
};

struct WaveformPlot {
    std::string title;
    std::string description;
    double from = 0;                    // s
    double to = 0;                      // s
    std::vector<WaveformPanel> panels;  // top to bottom
    std::vector<WaveformDimension> dimensions;
    std::vector<double> marks;  // s, upright lines through all panels: edges of the drive, bits
};
// 660 pixels wide, with the labels of levels. What lies outside the span of time is cut off.
Picture draw_waveforms(const WaveformPlot& plot);

}  // namespace gapwright
