// What stands out from a picture's paper, and in which tone.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/raster.hpp"

namespace gapwright {

// Lightness, blueness, redness in steps of 8 bit colour; colours count less than lightness, since
// JPEG blurs them. Always as a difference from the paper, as if that were white: an ink's tone,
// whose length is its contrast.
using Tone = std::array<float, 3>;

inline double dot(const Tone& a, const Tone& b) {
    return double(a[0]) * b[0] + double(a[1]) * b[1] + double(a[2]) * b[2];
}

// How every pixel of a picture differs from the paper about it, which may be tinted, shaded or lie
// in a shadow in part: light that falls on it darkens ink and paper by the same factor.
class ToneMap {
  public:
    explicit ToneMap(const Raster& raster);

    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }
    [[nodiscard]] const Tone& at(int x, int y) const {
        return tones_[static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) +
                      static_cast<std::size_t>(x)];
    }

  private:
    int width_ = 0;
    int height_ = 0;
    std::vector<Tone> tones_ = {};
};

// Own choice: what differs less from the paper is no ink of a curve.
inline constexpr double least_contrast = 40;

// The tone of the ink that lies nearest to a place, at its strongest there; nothing where within
// 5 px nothing stands out from the paper.
std::optional<Tone> tone_near(const ToneMap& tones, PixelPoint place);

}  // namespace gapwright
