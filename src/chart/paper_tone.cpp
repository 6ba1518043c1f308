#include "chart/paper_tone.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/raster.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr float chroma_weight = 0.5F;  // JPEG blurs colours, so they count less than lightness
constexpr int tile = 32;               // px: the paper may be shaded from tile to tile
constexpr double one_tone = 0.94;      // cosine of the angle between tones of one ink
constexpr double paper_part = 0.8;     // of a tile's pixels that may be darker than its paper
constexpr float dark_tile = 0.4F;      // of the whole picture's paper: is a tile full of ink

using Colour = std::array<float, 3>;  // red, green, blue, 0 … 255

float lightness(const Colour& rgb) {
    return 0.299F * rgb[0] + 0.587F * rgb[1] + 0.114F * rgb[2];
}

// The paper's colour in one stretch of the picture: of its lightest fifth the darkest.
Colour paper_of(const Raster& raster, int left, int top, int right, int bottom, int step) {
    std::array<std::array<int, 256>, 3> counts{};
    int all = 0;
    for (int y = top; y < bottom; y += step) {
        for (int x = left; x < right; x += step) {
            const auto rgb = raster.pixel(x, y);
            for (std::size_t k = 0; k < 3; ++k) ++counts[k][rgb[k]];
            ++all;
        }
    }
    Colour paper{};
    for (std::size_t k = 0; k < 3; ++k) {
        int below = 0, value = 0;
        while (value < 255 && below + counts[k][static_cast<std::size_t>(value)] <=
                                  static_cast<int>(paper_part * all)) {
            below += counts[k][static_cast<std::size_t>(value++)];
        }
        paper[k] = static_cast<float>(value);
    }
    return paper;
}

// Tiles of paper, and the colour between them.
struct Tiles {
    int across = 0, down = 0;
    std::vector<Colour> colours = {};

    [[nodiscard]] Colour at(int x, int y) const {
        const float u = std::clamp((static_cast<float>(x) + 0.5F) / tile - 0.5F, 0.0F,
                                   static_cast<float>(across - 1));
        const float v = std::clamp((static_cast<float>(y) + 0.5F) / tile - 0.5F, 0.0F,
                                   static_cast<float>(down - 1));
        const int column = std::min(static_cast<int>(u), std::max(0, across - 2));
        const int row = std::min(static_cast<int>(v), std::max(0, down - 2));
        const float fx = u - static_cast<float>(column), fy = v - static_cast<float>(row);
        const auto of = [&](int c, int r) -> const Colour& {
            return colours[static_cast<std::size_t>(std::min(r, down - 1)) *
                               static_cast<std::size_t>(across) +
                           static_cast<std::size_t>(std::min(c, across - 1))];
        };
        const Colour &a = of(column, row), &b = of(column + 1, row), &c = of(column, row + 1),
                     &d = of(column + 1, row + 1);
        Colour colour{};
        for (std::size_t k = 0; k < 3; ++k) {
            colour[k] =
                (1 - fy) * ((1 - fx) * a[k] + fx * b[k]) + fy * ((1 - fx) * c[k] + fx * d[k]);
        }
        return colour;
    }
};

Tiles tiles_of(const Raster& raster) {
    Tiles tiles{.across = (raster.width + tile - 1) / tile,
                .down = (raster.height + tile - 1) / tile};
    const int step = std::max(1, std::max(raster.width, raster.height) / 500);
    const Colour whole = paper_of(raster, 0, 0, raster.width, raster.height, step);
    for (int row = 0; row < tiles.down; ++row) {
        for (int column = 0; column < tiles.across; ++column) {
            Colour here = paper_of(raster, column * tile, row * tile,
                                   std::min(raster.width, (column + 1) * tile),
                                   std::min(raster.height, (row + 1) * tile), 1);
            // A tile full of ink has no paper to see.
            if (lightness(here) < dark_tile * lightness(whole)) here = whole;
            for (float& channel : here) channel = std::max(channel, 16.0F);
            tiles.colours.push_back(here);
        }
    }
    return tiles;
}

}  // namespace

ToneMap::ToneMap(const Raster& raster) : width_(raster.width), height_(raster.height) {
    const Tiles tiles = tiles_of(raster);
    tones_.reserve(static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_));
    for (int y = 0; y < height_; ++y) {
        for (int x = 0; x < width_; ++x) {
            const auto rgb = raster.pixel(x, y);
            const Colour paper = tiles.at(x, y);
            Colour lit{};  // as on white paper
            for (std::size_t k = 0; k < 3; ++k) {
                lit[k] = std::min(300.0F, 255 * static_cast<float>(rgb[k]) / paper[k]);
            }
            const float light = lightness(lit);
            tones_.push_back(
                {light - 255, chroma_weight * (lit[2] - light), chroma_weight * (lit[0] - light)});
        }
    }
}

std::optional<Tone> tone_near(const ToneMap& tones, PixelPoint place) {
    constexpr int reach = 5;     // px
    constexpr double climb = 3;  // px from the nearest ink to the middle of its stroke
    const int cx = static_cast<int>(std::lround(place.x));
    const int cy = static_cast<int>(std::lround(place.y));
    struct Inked {
        Tone tone = {};
        double contrast = 0, far = 0;
        int x = 0, y = 0;
    };
    std::vector<Inked> inked;
    for (int y = std::max(0, cy - reach); y <= std::min(tones.height() - 1, cy + reach); ++y) {
        for (int x = std::max(0, cx - reach); x <= std::min(tones.width() - 1, cx + reach); ++x) {
            const Tone& here = tones.at(x, y);
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
