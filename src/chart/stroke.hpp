// A curve's stroke seen from near by: cross-sections, and the bend of what has been followed.
#pragma once

#include <cmath>
#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"

namespace gapwright {

// A unit vector along a curve's way.
using Heading = PixelPoint;

inline PixelPoint moved(PixelPoint from, Heading along, double way, double aside = 0) {
    // "aside" is to the right as seen in the picture, where y runs down.
    return {.x = from.x + way * along.x - aside * along.y,
            .y = from.y + way * along.y + aside * along.x};
}
inline Heading turned(Heading heading, double angle) {  // angle in radians
    const double c = std::cos(angle), s = std::sin(angle);
    return {.x = c * heading.x - s * heading.y, .y = s * heading.x + c * heading.y};
}

// What a clean stroke of the curve looks like in cross-section.
struct StrokeLook {
    double area = 2;  // px: ink added up across
    double peak = 1;  // ink at its darkest
    // Ink across, from -shape_reach to shape_reach in steps of half a pixel; empty while unknown.
    std::vector<double> shape = {};
};
inline constexpr double shape_reach = 12;  // px

struct CrossSection {
    double aside = 0;    // px, of the stroke's middle from the place asked for
    double area = 0;     // px
    double peak = 0;     // 0 … 1
    bool clean = false;  // one stroke of the right thickness with paper at both sides
};

// Averaged over 5 px along the heading. `reach`: px to either side in which the middle may be.
CrossSection cross_section(const CurveInk& ink, const StrokeLook& look, PixelPoint at,
                           Heading heading, double reach);

// The same where a grid line of the curve's own tone lies across or along it: the place at which
// the stroke's shape together with the grid's explains the ink best. Clean only where the ink fits
// well, and worse without the stroke or with it a pixel aside.
CrossSection fitted_section(const CurveInk& ink, const StrokeLook& look, PixelPoint at,
                            Heading heading, double reach);

// cross_section, or where that is not clean, fitted_section.
CrossSection best_section(const CurveInk& ink, const StrokeLook& look, PixelPoint at,
                          Heading heading, double reach);

// A place on the curve where it was seen clean.
struct SeenPoint {
    PixelPoint at = {};
    double way = 0;   // px along the curve
    double area = 0;  // px
};

// The end of what has been followed as an arc: heading and bend there.
struct Bend {
    PixelPoint at = {};
    Heading heading = {.x = 1, .y = 0};
    double bend = 0;   // 1/px, positive to the right
    double noise = 0;  // px rms about the arc
};

// Fitted to the last `length` px of `seen` (at least two points), nearer ones counting more.
Bend bend_of(const std::vector<SeenPoint>& seen, double length);

// The stroke nearest to a seed: a place on it and its heading. Nothing where within 5 px there is
// no clean stroke of some 20 px.
struct StrokeStart {
    PixelPoint at = {};
    Heading heading = {};
    StrokeLook look = {};
};
std::optional<StrokeStart> stroke_at(const CurveInk& ink, PixelPoint seed);

}  // namespace gapwright
