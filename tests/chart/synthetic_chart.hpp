// Charts as data sheets print them, drawn for tests with their truth. Shares no code with what
// reads them; everything follows from style and number.
#pragma once

#include <array>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "chart/axis_scale.hpp"

namespace gapwright::testing {

enum class ChartStyle {
    black_on_light_grid,
    colours_on_grid,
    black_on_dark_grid,
    dashed_and_crossing,
    dense_decades,
};
inline constexpr int chart_styles = 5;

struct DrawnCurve {
    std::vector<ChartPoint> truth = {};  // dense, in fractions of the axes
    bool dashed = false;
    double width = 1;                    // pixels
    std::vector<PixelPoint> label = {};  // corners of its label's box; none without a label
};

struct SyntheticChart {
    std::string bytes = {};  // PNG or JPEG
    int width = 0, height = 0;
    AxisScale x = {}, y = {};  // marks rounded to whole pixels, as a person gives them
    std::vector<DrawnCurve> curves = {};
    // The true map from fractions to pixels.
    PixelPoint origin = {}, along_x = {}, along_y = {};

    [[nodiscard]] PixelPoint to_pixel(ChartPoint fraction) const;
    [[nodiscard]] ChartPoint to_fraction(PixelPoint pixel) const;
};

SyntheticChart draw_chart(ChartStyle style, unsigned number);

// Places on curve `index` that a person would click: apart from other curves and from labels,
// rounded to whole pixels and up to 2 px off.
std::vector<PixelPoint> seeds_on(const SyntheticChart& chart, std::size_t index, std::size_t count,
                                 std::mt19937& random);

// Distance in fractions of the axes (1 is full scale) from a fraction to the nearest of a curve.
double distance_to(const DrawnCurve& curve, ChartPoint fraction);

// Rows of RGB bytes as PNG, and as JPEG of that quality (of 100).
std::string png_of(const std::vector<std::uint8_t>& rgb, int width, int height);
std::string jpeg_of(const std::vector<std::uint8_t>& rgb, int width, int height, int quality);

// Rows of samples as libpng packs them, as PNG of any kind.
struct PngKind {
    int depth = 8;   // bits a sample
    int colour = 0;  // the type that the format's head states
    bool interlaced = false;
    std::vector<std::array<std::uint8_t, 3>> palette = {};
    std::vector<std::uint8_t> palette_alpha = {};
};
std::string png_of_kind(const PngKind& kind, const std::vector<std::vector<std::uint8_t>>& rows,
                        int width);

// A grey JPEG whose coefficients come one by one, in as many rounds: 1 + 63 scans each.
std::string progressive_jpeg(int width, int height, int rounds);
std::string cmyk_jpeg(int width, int height);

}  // namespace gapwright::testing
