// Curves of a part as a data sheet shows them: the nominal one, the band of the spread, points that
// were measured.
#pragma once

#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/picture.hpp"
#include "draw/plots.hpp"

namespace gapwright {

// Ground between two curves, each given from one end to the other.
struct PlotBand {
    std::vector<Point> lower;
    std::vector<Point> upper;
};

struct CurvePlot {
    std::string title;  // drawn above the plot, in as many lines as it needs
    std::string description;
    std::string note = {};  // a small line beneath it: what is shaded, what dots are
    AxisRange x;
    AxisRange y;
    std::vector<PlotBand> bands;
    std::vector<PlotCurve> curves;  // an empty label: none
    std::vector<Point> dots;        // measured
    std::vector<Point> rings;       // measured, and far off
};
Picture draw_curves(const CurvePlot& plot);

}  // namespace gapwright
