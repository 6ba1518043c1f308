// From a chart's pixels to its values and back.
#pragma once

#include <array>

#include "source/diagnostics.hpp"

namespace gapwright {

// A place in a picture, in pixels; (0, 0) is the centre of the top left pixel, y runs down.
struct PixelPoint {
    double x = 0;
    double y = 0;
};

// A place on an axis whose value is printed there. The place may lie anywhere on the line of that
// value, for example at its foot on the axis.
struct AxisMark {
    PixelPoint at = {};
    double value = 0;  // in the axis' unit, finite
};

struct AxisScale {
    AxisMark first = {};
    AxisMark second = {};
    bool logarithmic = false;
};

struct ChartPoint {
    double x = 0;  // in the x axis' unit
    double y = 0;  // in the y axis' unit
};

// The values at an axis' fractions 0 and 1.
struct ScaleRange {
    double first = 0;
    double second = 1;
    bool logarithmic = false;  // both above zero

    [[nodiscard]] double value(double fraction) const;
    // Not a number where a value is not above zero on a logarithmic axis.
    [[nodiscard]] double fraction(double value) const;
};

// Rows of a matrix that takes (x, y, 1) to (x', y', w') and so a plane to its picture, seen from
// anywhere: a projective map (Hartley & Zisserman 2004, section 2.3; from memory).
using PlaneMap = std::array<std::array<double, 3>, 3>;

PixelPoint mapped(const PlaneMap& map, PixelPoint point);  // not a number behind the horizon
PlaneMap inverse(const PlaneMap& map);                     // of a map that has none, not finite
PlaneMap product(const PlaneMap& after, const PlaneMap& before);

// A map between pixels and values (or their logarithms). An affine one is right for charts that
// were scanned turned or sheared: lines of constant x run along the y axis' marks, lines of
// constant y along the x axis' marks. A projective one is right for charts taken at an angle.
class ChartScale {
  public:
    // Affine. Errors, with remedies: contradiction where two marks coincide, have the same value,
    // or the axes are within 20° of each other; out_of_range for a value that is not finite, or
    // not above zero on a logarithmic axis.
    static Expected<ChartScale> make(const AxisScale& x, const AxisScale& y);

    // `to_pixel` takes fractions of both axes to pixels and can be inverted.
    ChartScale(const ScaleRange& x, const ScaleRange& y, const PlaneMap& to_pixel);

    [[nodiscard]] ChartPoint to_value(PixelPoint pixel) const;
    // Values not above zero on a logarithmic axis have no pixel: not a number.
    [[nodiscard]] PixelPoint to_pixel(ChartPoint value) const;

    // Fractions of the way from each axis' first value to its second: 0 … 1 between the marks.
    [[nodiscard]] ChartPoint to_fraction(PixelPoint pixel) const;
    [[nodiscard]] PixelPoint from_fraction(ChartPoint fraction) const;

    // Pixels from fraction 0 to 1 of an axis through the plot's middle: along constant y, along
    // constant x.
    [[nodiscard]] PixelPoint x_direction() const;
    [[nodiscard]] PixelPoint y_direction() const;

    // How far the value moves for a small step of the fraction, in the axis' unit, at that value.
    [[nodiscard]] double x_slope(double value) const;
    [[nodiscard]] double y_slope(double value) const;

    [[nodiscard]] bool is_affine() const;
    [[nodiscard]] const ScaleRange& x_range() const { return x_; }
    [[nodiscard]] const ScaleRange& y_range() const { return y_; }
    [[nodiscard]] const PlaneMap& fractions_to_pixels() const { return to_pixel_; }

  private:
    ScaleRange x_ = {};
    ScaleRange y_ = {};
    PlaneMap to_pixel_ = {};
    PlaneMap to_fraction_ = {};
};

}  // namespace gapwright
