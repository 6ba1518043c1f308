// From a chart's pixels to its values and back.
#pragma once

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

// An affine map between pixels and values (or their logarithms), so that a chart that was scanned
// turned or sheared is read right: lines of constant x run along the y axis' marks, lines of
// constant y along the x axis' marks.
class ChartScale {
  public:
    // Errors, with remedies: contradiction where two marks coincide, have the same value, or the
    // axes are within 20° of each other; out_of_range for a value that is not finite, or not above
    // zero on a logarithmic axis.
    static Expected<ChartScale> make(const AxisScale& x, const AxisScale& y);

    [[nodiscard]] ChartPoint to_value(PixelPoint pixel) const;
    // Values not above zero on a logarithmic axis have no pixel: not a number.
    [[nodiscard]] PixelPoint to_pixel(ChartPoint value) const;

    // Fractions of the way from each axis' first mark to its second: 0 … 1 between the marks.
    [[nodiscard]] ChartPoint to_fraction(PixelPoint pixel) const;
    [[nodiscard]] PixelPoint from_fraction(ChartPoint fraction) const;

    // Pixels from the first to the second mark: along constant y, along constant x.
    [[nodiscard]] PixelPoint x_direction() const { return along_x_; }
    [[nodiscard]] PixelPoint y_direction() const { return along_y_; }

    // How far the value moves for a small step of the fraction, in the axis' unit, at that value.
    [[nodiscard]] double x_slope(double value) const;
    [[nodiscard]] double y_slope(double value) const;

  private:
    AxisScale x_ = {};
    AxisScale y_ = {};
    PixelPoint origin_ = {};   // where both axes' first marks' lines cross
    PixelPoint along_x_ = {};  // from there to the x axis' second mark's line
    PixelPoint along_y_ = {};
};

}  // namespace gapwright
