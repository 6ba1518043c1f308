#include "chart/paper_tone.hpp"

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

// Own choices.
constexpr double chroma_weight = 0.5;  // JPEG blurs colours, so they count less than lightness
constexpr int tile = 64;               // px: the paper may be shaded from tile to tile
constexpr double one_tone = 0.94;      // cosine of the angle between tones of one ink

Tone tone_of(const std::array<std::uint8_t, 3>& rgb) {
    const double light = 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2];
    return {light, chroma_weight * (rgb[2] - light), chroma_weight * (rgb[0] - light)};
}

// The paper's tone in one stretch of the picture: of its lightest tenth the darkest.
Tone paper_of(const Raster& raster, int left, int top, int right, int bottom, int step) {
    std::array<std::vector<std::uint8_t>, 3> channels;
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
        paper[k] = channels[k][static_cast<std::size_t>(place)];
    }
    return tone_of(paper);
}

}  // namespace

Paper::Paper(const Raster& raster)
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

const Tone& Paper::of(int column, int row) const {
    const auto y = static_cast<std::size_t>(std::min(row, down_ - 1));
    const auto x = static_cast<std::size_t>(std::min(column, across_ - 1));
    return tones_[y * static_cast<std::size_t>(across_) + x];
}

Tone Paper::at(int x, int y) const {
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

Tone Paper::contrast(const Raster& raster, int x, int y) const {
    const Tone here = tone_of(raster.pixel(x, y)), white = at(x, y);
    return {here[0] - white[0], here[1] - white[1], here[2] - white[2]};
}

std::optional<Tone> tone_near(const Raster& raster, const Paper& paper, PixelPoint place) {
    constexpr int reach = 5;      // px
    constexpr double climb = 3;   // px from the nearest ink to the middle of its stroke
    const int cx = static_cast<int>(std::lround(place.x));
    const int cy = static_cast<int>(std::lround(place.y));
    struct Inked {
        Tone tone = {};
        double contrast = 0, far = 0;
        int x = 0, y = 0;
    };
    std::vector<Inked> inked;
    for (int y = std::max(0, cy - reach); y <= std::min(raster.height - 1, cy + reach); ++y) {
        for (int x = std::max(0, cx - reach); x <= std::min(raster.width - 1, cx + reach); ++x) {
            const Tone here = paper.contrast(raster, x, y);
            const double contrast = std::sqrt(dot(here, here));
            const double far = std::hypot(x - place.x, y - place.y);
            if (far <= reach && contrast >= least_contrast) {
                inked.push_back({.tone = here, .contrast = contrast, .far = far, .x = x, .y = y});
            }
        }
    }
    if (inked.empty()) return std::nullopt;
    // What lies nearest counts, unless it is faint, as grid is; it is the edge of a stroke and may
    // be a mixture: the middle lies near it.
    const Inked nearest = *std::ranges::max_element(inked, {}, [](const Inked& one) {
        return one.contrast * std::exp(-one.far * one.far / 8);
    });
    const Inked* best = &nearest;
    for (const Inked& other : inked) {
        const bool near = std::hypot(other.x - nearest.x, other.y - nearest.y) <= climb;
        const double angle = dot(other.tone, nearest.tone) / (other.contrast * nearest.contrast);
        if (near && angle > one_tone && other.contrast > best->contrast) best = &other;
    }
    return best->tone;
}

}  // namespace gapwright
