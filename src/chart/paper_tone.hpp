// What stands out from a picture's paper, and in which tone.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/raster.hpp"

namespace gapwright {

// Lightness, blueness, redness in steps of 8 bit colour; colours count less than lightness, since
// JPEG blurs them. As a difference from the paper: an ink's tone, whose length is its contrast.
using Tone = std::array<double, 3>;

inline double dot(const Tone& a, const Tone& b) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

// The paper's tone, which may be shaded from place to place.
class Paper {
  public:
    explicit Paper(const Raster& raster);

    // How a pixel differs from the paper there.
    [[nodiscard]] Tone contrast(const Raster& raster, int x, int y) const;

  private:
    [[nodiscard]] Tone at(int x, int y) const;
    [[nodiscard]] const Tone& of(int column, int row) const;

    int across_ = 0;
    int down_ = 0;
    std::vector<Tone> tones_ = {};
};

// Own choice: what differs less from the paper is no ink of a curve.
inline constexpr double least_contrast = 40;

// The tone of the ink that lies nearest to a place, at its strongest there; nothing where within
// 5 px nothing stands out from the paper.
std::optional<Tone> tone_near(const Raster& raster, const Paper& paper, PixelPoint place);

}  // namespace gapwright
