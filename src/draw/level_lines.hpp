// Levels across a plot: dashed lines that name themselves in the margin on the right.
#pragma once

#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/picture.hpp"

namespace gapwright {

struct PlotLevel {
    double value = 0;   // in the y axis' unit
    std::string label;  // "high from 3.5 V"
};

// How much room the labels need beside the paper and along its height, in pixels; nothing without
// levels.
double level_margin(const std::vector<PlotLevel>& levels);
double level_height(const std::vector<PlotLevel>& levels);

// Levels beyond the y axis are left out. Labels that would touch are moved apart, each led to by a
// line from its level; they stay within the paper's height where it is at least level_height().
void draw_levels(Picture& picture, const Axes& axes, const std::vector<PlotLevel>& levels);

}  // namespace gapwright
