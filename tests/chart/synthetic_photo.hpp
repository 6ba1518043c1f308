// Drawn charts as a telephone takes them: at an angle, unevenly lit, with noise; and families of
// curves with a legend, as programs draw them. Shares no code with what reads them.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "chart/axis_scale.hpp"
#include "synthetic_chart.hpp"

namespace gapwright::testing {

struct PhotoLook {
    double turn = 0;    // degrees about the line of sight
    double lean_x = 0;  // degrees about the picture's level line
    double lean_y = 0;  // about its upright line
    double scale = 1;   // pixels for one of the drawn chart
    double light = 0;   // how much darker one corner is than the other, part
    double shadow = 0;  // how much darker beyond an edge, part
    double noise = 0;   // deviation, steps of 8 bit colour
    double bend = 0;    // how far the page's middle bulges, px of the drawn chart
    int quality = 85;   // of JPEG
};

struct ChartPhoto {
    std::string bytes = {};
    int width = 0, height = 0;
    std::array<double, 9> map = {};  // drawn chart's pixels to the photo's, without the bend

    [[nodiscard]] PixelPoint at(PixelPoint drawn) const;
};

ChartPhoto photographed(const SyntheticChart& chart, const PhotoLook& look, unsigned seed);

// Looks as different as people's photos are.
PhotoLook some_look(unsigned number);

enum class FamilyColours { one, different, near };  // near: hues that lie close together
struct FamilyLook {
    FamilyColours colours = FamilyColours::different;
    int curves = 5;
    bool grid = true, frame = true, dashed = false;
    bool legend = false, legend_over = false;  // over: on top of the curves
    double width = 1.8;                        // px
};
// Collector currents that rise and flatten, which meet at zero. `samples`: places on the legend's
// samples, in pixels.
struct FamilyChart {
    SyntheticChart chart = {};
    std::vector<PixelPoint> samples = {};
};
FamilyChart draw_family(const FamilyLook& look, unsigned number);

}  // namespace gapwright::testing
