#include "chart/working_picture.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"
#include "chart/raster.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double largest_as_is = 1600;  // px of the plot's longer side
constexpr double largest_area = 4e6;    // px of the picture
constexpr double side_wanted = 1400;    // px of the plot's longer side, where it is larger
constexpr double margin = 40;           // px

// Means of squares of `factor` px.
Raster shrunk(const Raster& raster, int factor) {
    Raster small{.width = raster.width / factor, .height = raster.height / factor};
    small.rgb.reserve(3 * static_cast<std::size_t>(small.width) *
                      static_cast<std::size_t>(small.height));
    const auto full = static_cast<std::size_t>(factor);
    const std::size_t row = 3 * static_cast<std::size_t>(raster.width);
    const auto count = static_cast<unsigned>(factor * factor);
    for (int y = 0; y < small.height; ++y) {
        for (int x = 0; x < small.width; ++x) {
            unsigned sums[3] = {};
            const std::uint8_t* from = raster.rgb.data() +
                                       static_cast<std::size_t>(y) * full * row +
                                       3 * static_cast<std::size_t>(x) * full;
            for (std::size_t j = 0; j < full; ++j) {
                for (std::size_t i = 0; i < 3 * full; i += 3) {
                    for (std::size_t k = 0; k < 3; ++k) sums[k] += from[j * row + i + k];
                }
            }
            for (const unsigned sum : sums) {
                small.rgb.push_back(static_cast<std::uint8_t>((sum + count / 2) / count));
            }
        }
    }
    return small;
}

// Every pixel where `to_from` says, bilinear; beyond the picture its nearest one.
void draw_anew(Raster& to, const Raster& from, const PlaneMap& to_from) {
    to.rgb.resize(3 * static_cast<std::size_t>(to.width) * static_cast<std::size_t>(to.height));
    std::size_t out = 0;
    for (int y = 0; y < to.height; ++y) {
        for (int x = 0; x < to.width; ++x) {
            const PixelPoint at = mapped(to_from, {.x = double(x), .y = double(y)});
            const double px = std::isfinite(at.x) ? std::clamp(at.x, 0.0, from.width - 1.001) : 0;
            const double py = std::isfinite(at.y) ? std::clamp(at.y, 0.0, from.height - 1.001) : 0;
            const int left = static_cast<int>(px), top = static_cast<int>(py);
            const double fx = px - left, fy = py - top;
            const std::uint8_t* a =
                from.rgb.data() +
                3 * (static_cast<std::size_t>(top) * static_cast<std::size_t>(from.width) +
                     static_cast<std::size_t>(left));
            const std::uint8_t* b = a + 3 * static_cast<std::size_t>(from.width);
            for (std::size_t k = 0; k < 3; ++k) {
                const double value = (1 - fy) * ((1 - fx) * a[k] + fx * a[k + 3]) +
                                     fy * ((1 - fx) * b[k] + fx * b[k + 3]);
                to.rgb[out++] = static_cast<std::uint8_t>(std::lround(value));
            }
        }
    }
}

double length(PixelPoint p) {
    return std::hypot(p.x, p.y);
}

}  // namespace

WorkingPicture working_picture(const Raster& raster, const ChartScale& scale,
                               const ChartArea& area) {
    const double wide = length(scale.x_direction()) * (area.high.x - area.low.x);
    const double high = length(scale.y_direction()) * (area.high.y - area.low.y);
    const double side = std::max(wide, high);
    const bool as_is = scale.is_affine() && side <= largest_as_is &&
                       double(raster.width) * raster.height <= largest_area;
    if (as_is || !(side > 0) || raster.width < 2 || raster.height < 2) {
        return {
            .raster = raster, .scale = scale, .to_picture = {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}};
    }
    const double step = std::max(1.0, side / side_wanted);
    const double width = wide / step, height = high / step;
    // Fractions to this picture's pixels, y up.
    const double u = width / (area.high.x - area.low.x), v = height / (area.high.y - area.low.y);
    const PlaneMap upright = {
        {{u, 0, margin - area.low.x * u}, {0, -v, margin + height + area.low.y * v}, {0, 0, 1}}};
    WorkingPicture work{.raster = {.width = static_cast<int>(std::ceil(width + 2 * margin)) + 1,
                                   .height = static_cast<int>(std::ceil(height + 2 * margin)) + 1},
                        .scale = ChartScale(scale.x_range(), scale.y_range(), upright),
                        .to_picture = product(scale.fractions_to_pixels(), inverse(upright)),
                        .step = step};
    // Marks may lie far outside of the picture.
    const int factor = static_cast<int>(std::min({step, 0.5 * raster.width, 0.5 * raster.height}));
    if (factor < 2) {
        draw_anew(work.raster, raster, work.to_picture);
    } else {
        const double middle = 0.5 * (factor - 1);
        const PlaneMap to_small = {
            {{1.0 / factor, 0, -middle / factor}, {0, 1.0 / factor, -middle / factor}, {0, 0, 1}}};
        draw_anew(work.raster, shrunk(raster, factor), product(to_small, work.to_picture));
    }
    return work;
}

}  // namespace gapwright
