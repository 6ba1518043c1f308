// How much of one curve's ink each pixel of a chart has, with what the grid explains taken out.
#pragma once

#include <cstddef>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/paper_tone.hpp"

namespace gapwright {

// A number for each pixel.
class Plane {
  public:
    Plane(int width, int height)
        : width_(width),
          height_(height),
          values_(static_cast<std::size_t>(width) * static_cast<std::size_t>(height)) {}

    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }
    float& at(int x, int y) { return values_[index(x, y)]; }
    [[nodiscard]] float at(int x, int y) const { return values_[index(x, y)]; }
    // Between pixels, bilinear; 0 outside of the picture. Most of tracing's time is spent here.
    [[nodiscard]] double between(PixelPoint place) const {
        const bool inside =
            place.x >= 0 && place.y >= 0 && place.x < width_ - 1 && place.y < height_ - 1;
        if (!inside) return 0;
        const int x = static_cast<int>(place.x), y = static_cast<int>(place.y);
        const double fx = place.x - x, fy = place.y - y;
        const float* top = &values_[index(x, y)];
        const float* bottom = top + width_;
        return (1 - fy) * ((1 - fx) * top[0] + fx * top[1]) +
               fy * ((1 - fx) * bottom[0] + fx * bottom[1]);
    }

  private:
    [[nodiscard]] std::size_t index(int x, int y) const {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) +
               static_cast<std::size_t>(x);
    }
    int width_;
    int height_;
    std::vector<float> values_;
};

// What ink of a curve looks like: its tone, and how far its colour may differ, as the tangent of
// the angle between tones.
struct InkTone {
    Tone tone = {};
    double spread = 0.3;
};

// As far as thin lines in a JPEG differ, whose colours are blurred.
InkTone widest_tone(const Tone& tone);

// Of a clean stroke, from some 20 px of its middle; `heading`: a unit vector along it.
InkTone tone_along(const ToneMap& tones, PixelPoint at, PixelPoint heading);

// 0 for paper … 1 for that ink; other tones have less the more they differ in colour, or are much
// darker.
Plane ink_like(const ToneMap& tones, const InkTone& like);

// 0 for paper … 1 for ink of any tone that stands out well.
Plane darkness_of(const ToneMap& tones);

// Which part of the picture a curve may be in: fractions of the axes.
struct ChartArea {
    ChartPoint low = {.x = 0, .y = 0};
    ChartPoint high = {.x = 1, .y = 1};

    [[nodiscard]] bool holds(ChartPoint fraction) const {
        return fraction.x >= low.x && fraction.x <= high.x && fraction.y >= low.y &&
               fraction.y <= high.y;
    }
};

// What is left of the ink for a curve.
struct CurveInk {
    Plane ink;    // 0 … 1: beyond what the grid has there
    Plane trust;  // 0 … 1: 0 where a grid line as dark as the curve hides whatever is there
    Plane grid;   // 0 … 1: ink of grid lines
};

// Lines that run along an axis from one border of the area to the other are grid.
CurveInk without_grid(const Plane& ink, const ChartScale& scale, const ChartArea& area);

}  // namespace gapwright
