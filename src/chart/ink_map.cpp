#include "chart/ink_map.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>
#include "chart/axis_scale.hpp"
#include "chart/raster.hpp"

namespace gapwright {
namespace {

// Own choices, in steps of 8 bit colour.
constexpr double least_contrast = 40;
constexpr double chroma_weight = 0.5;  // JPEG blurs colours, so they count less than lightness
constexpr double tone_spread = 0.3;    // tangent of the angle between tones, seen from the paper
constexpr int tile = 64;               // px: the paper may be shaded from tile to tile

using Tone = std::array<double, 3>;  // lightness, blueness, redness

Tone tone_of(const std::array<std::uint8_t, 3>& rgb) {
    const double light = 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2];
    return {light, chroma_weight * (rgb[2] - light), chroma_weight * (rgb[0] - light)};
}

double dot(const Tone& a, const Tone& b) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

// The paper's tone in one stretch of the picture: of its lightest tenth the darkest.
Tone paper_of(const Raster& raster, int left, int top, int right, int bottom, int step) {
    std::array<std::vector<double>, 3> channels;
    for (int y = top; y < bottom; y += step) {
        for (int x = left; x < right; x += step) {
            const auto rgb = raster.pixel(x, y);
            for (std::size_t k = 0; k < 3; ++k) channels[k].push_back(rgb[k]);
        }
    }
    std::array<std::uint8_t, 3> paper{};
    for (std::size_t k = 0; k < 3; ++k) {
        const auto place = static_cast<std::ptrdiff_t>(channels[k].size() * 8 / 10);
        std::nth_element(channels[k].begin(), channels[k].begin() + place, channels[k].end());
        paper[k] = static_cast<std::uint8_t>(channels[k][static_cast<std::size_t>(place)]);
    }
    return tone_of(paper);
}

class Paper {
  public:
    explicit Paper(const Raster& raster)
        : across_((raster.width + tile - 1) / tile), down_((raster.height + tile - 1) / tile) {
        const int step = std::max(1, std::max(raster.width, raster.height) / 500);
        const Tone whole = paper_of(raster, 0, 0, raster.width, raster.height, step);
        for (int row = 0; row < down_; ++row) {
            for (int column = 0; column < across_; ++column) {
                Tone here = paper_of(raster, column * tile, row * tile,
                                     std::min(raster.width, (column + 1) * tile),
                                     std::min(raster.height, (row + 1) * tile), 2);
                // A tile full of ink has no paper to see.
                if (std::abs(here[0] - whole[0]) > 30) here = whole;
                tones_.push_back(here);
            }
        }
    }

    [[nodiscard]] Tone at(int x, int y) const {
        const double u = std::clamp((x + 0.5) / tile - 0.5, 0.0, across_ - 1.0);
        const double v = std::clamp((y + 0.5) / tile - 0.5, 0.0, down_ - 1.0);
        const int column = std::min(static_cast<int>(u), std::max(0, across_ - 2));
        const int row = std::min(static_cast<int>(v), std::max(0, down_ - 2));
        const double fx = u - column, fy = v - row;
        Tone tone{};
        for (std::size_t k = 0; k < 3; ++k) {
            tone[k] = (1 - fy) * ((1 - fx) * of(column, row)[k] + fx * of(column + 1, row)[k]) +
                      fy * ((1 - fx) * of(column, row + 1)[k] + fx * of(column + 1, row + 1)[k]);
        }
        return tone;
    }

  private:
    [[nodiscard]] const Tone& of(int column, int row) const {
        const auto y = static_cast<std::size_t>(std::min(row, down_ - 1));
        const auto x = static_cast<std::size_t>(std::min(column, across_ - 1));
        return tones_[y * static_cast<std::size_t>(across_) + x];
    }
    int across_;
    int down_;
    std::vector<Tone> tones_;
};

Tone contrast(const Raster& raster, const Paper& paper, int x, int y) {
    const Tone here = tone_of(raster.pixel(x, y)), white = paper.at(x, y);
    return {here[0] - white[0], here[1] - white[1], here[2] - white[2]};
}

// The tone that stands out most near the seed, nearer ones preferred.
std::optional<Tone> tone_at(const Raster& raster, const Paper& paper, PixelPoint seed) {
    constexpr int reach = 5;
    const int cx = static_cast<int>(std::lround(seed.x)),
              cy = static_cast<int>(std::lround(seed.y));
    double best = 0;
    Tone tone{};
    for (int y = std::max(0, cy - reach); y <= std::min(raster.height - 1, cy + reach); ++y) {
        for (int x = std::max(0, cx - reach); x <= std::min(raster.width - 1, cx + reach); ++x) {
            const Tone here = contrast(raster, paper, x, y);
            const double far = std::hypot(x - seed.x, y - seed.y);
            const double score = std::sqrt(dot(here, here)) * std::exp(-far * far / 18);
            if (far <= reach && score > best) {
                best = score;
                tone = here;
            }
        }
    }
    if (dot(tone, tone) < least_contrast * least_contrast) return std::nullopt;
    return tone;
}

}  // namespace

std::optional<Plane> ink_like(const Raster& raster, PixelPoint seed) {
    const Paper paper(raster);
    const auto tone = tone_at(raster, paper, seed);
    if (!tone) return std::nullopt;
    const double length = dot(*tone, *tone);
    Plane ink(raster.width, raster.height);
    for (int y = 0; y < raster.height; ++y) {
        for (int x = 0; x < raster.width; ++x) {
            const Tone here = contrast(raster, paper, x, y);
            const double part = dot(here, *tone) / length;
            if (part <= 0.02) continue;
            const double aside = std::sqrt(std::max(0.0, dot(here, here) / length - part * part));
            const double turn = aside / std::max(part, 0.25) / tone_spread;
            ink.at(x, y) = static_cast<float>(std::min(part, 1.0) * std::exp(-turn * turn));
        }
    }
    return ink;
}

}  // namespace gapwright
