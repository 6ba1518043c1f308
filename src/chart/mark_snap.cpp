#include "chart/mark_snap.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/raster.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double least_reach = 4, most_reach = 16;  // px
constexpr double reach_part = 1.0 / 170;            // of the plot's longer side
constexpr double least_contrast = 0.1;              // darkness of a line beyond what is beside it
constexpr double step = 0.25;                       // px

// Lightness between pixels, 0 for black … 1; outside of the picture white.
double lightness(const Raster& raster, PixelPoint at) {
    if (!(at.x >= 0 && at.y >= 0 && at.x < raster.width - 1 && at.y < raster.height - 1)) return 1;
    const int x = static_cast<int>(at.x), y = static_cast<int>(at.y);
    const double fx = at.x - x, fy = at.y - y;
    const auto light = [&](int u, int v) {
        const auto rgb = raster.pixel(u, v);
        return (0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2]) / 255;
    };
    return (1 - fy) * ((1 - fx) * light(x, y) + fx * light(x + 1, y)) +
           fy * ((1 - fx) * light(x, y + 1) + fx * light(x + 1, y + 1));
}

PixelPoint unit(PixelPoint p) {
    const double size = std::hypot(p.x, p.y);
    return {.x = p.x / size, .y = p.y / size};
}

PixelPoint moved_by(PixelPoint from, PixelPoint along, double way) {
    return {.x = from.x + along.x * way, .y = from.y + along.y * way};
}

// The least or the most of each value's neighbours, to either side.
std::vector<double> extreme(const std::vector<double>& values, std::ptrdiff_t reach, bool most) {
    std::vector<double> result;
    const auto count = static_cast<std::ptrdiff_t>(values.size());
    for (std::ptrdiff_t k = 0; k < count; ++k) {
        const auto from = values.begin() + std::max<std::ptrdiff_t>(0, k - reach);
        const auto to = values.begin() + std::min(count, k + reach + 1);
        result.push_back(most ? *std::max_element(from, to) : *std::min_element(from, to));
    }
    return result;
}

struct Stripe {
    double middle = 0, width = 0;  // px across
};

// Lines that run along `along` about a place, on one side of it.
std::vector<Stripe> stripes(const Raster& raster, PixelPoint at, PixelPoint across,
                            PixelPoint along, double reach) {
    const double half = 1.6 * reach;  // letters beyond a tick stay out
    const double out = reach + 3;     // so that a line at the edge is seen whole
    std::vector<double> dark;
    for (double aside = -out; aside <= out + 1e-9; aside += step) {
        double sum = 0, count = 0;
        for (double way = 1; way <= half; way += 0.5) {
            sum += 1 - lightness(raster, moved_by(moved_by(at, across, aside), along, way));
            count += 1;
        }
        dark.push_back(sum / count);
    }
    // What is broader than a line is none: an edge, a blot, or what lies on one side of a corner.
    const auto window = static_cast<std::ptrdiff_t>((0.9 * reach + 2) / step);
    const auto least = extreme(dark, window / 2, false);
    const auto broad = extreme(least, window / 2, true);
    for (std::size_t k = 0; k < dark.size(); ++k) dark[k] -= broad[k];
    std::vector<Stripe> found;
    for (std::size_t k = 0; k < dark.size();) {
        if (dark[k] < least_contrast) {
            ++k;
            continue;
        }
        const std::size_t from = k;
        double top = 0;
        while (k < dark.size() && dark[k] >= least_contrast) top = std::max(top, dark[k++]);
        if (from == 0 || k == dark.size()) continue;  // not seen whole
        double sum = 0, moment = 0;
        for (std::size_t j = from; j < k; ++j) {
            const double ink = std::max(0.0, dark[j] - 0.4 * top);
            sum += ink;
            moment += ink * (static_cast<double>(j) * step - out);
        }
        const double width = static_cast<double>(k - from) * step;
        if (width <= 1.5 * reach) found.push_back({.middle = moment / sum, .width = width});
    }
    return found;
}

// How far along `across` the middle of the line lies that runs along `along` near a place; nothing
// where there is none or two are about as near.
std::optional<double> line_near(const Raster& raster, PixelPoint at, PixelPoint across,
                                PixelPoint along, double reach) {
    // A tick may lie on one side only. Where a curve touches a line on one side, the other side
    // shows the line alone: of stripes that overlap the narrowest counts.
    auto all = stripes(raster, at, across, along, reach);
    const PixelPoint back = {.x = -along.x, .y = -along.y};
    for (const Stripe& stripe : stripes(raster, at, across, back, reach)) all.push_back(stripe);
    std::ranges::stable_sort(all, {}, &Stripe::width);
    std::vector<double> lines;
    std::vector<Stripe> kept;
    for (const Stripe& stripe : all) {
        const auto overlaps = [&](const Stripe& other) {
            return std::abs(other.middle - stripe.middle) < 0.5 * stripe.width + 0.5;
        };
        if (std::ranges::any_of(kept, overlaps)) continue;
        kept.push_back(stripe);
        lines.push_back(stripe.middle);
    }
    std::ranges::sort(lines, {}, [](double line) { return std::abs(line); });
    if (lines.empty() || std::abs(lines.front()) > reach) return std::nullopt;
    const bool alone =
        lines.size() < 2 || std::abs(lines[1]) > 2 * std::abs(lines.front()) + 0.35 * reach;
    return alone ? std::optional(lines.front()) : std::nullopt;
}

}  // namespace

std::vector<SnappedMark> snapped_marks(const Raster& raster, const ChartScale& scale,
                                       const std::vector<ChartMark>& marks) {
    const PixelPoint wide = scale.x_direction(), high = scale.y_direction();
    const double side = std::max(std::hypot(wide.x, wide.y), std::hypot(high.x, high.y));
    const double reach = std::clamp(side * reach_part, least_reach, most_reach);
    std::vector<SnappedMark> snapped;
    for (const ChartMark& mark : marks) {
        const ChartPoint here = scale.to_fraction(mark.at);
        const auto toward = [&](double u, double v) {
            const PixelPoint there = scale.from_fraction({.x = here.x + u, .y = here.y + v});
            return unit({.x = there.x - mark.at.x, .y = there.y - mark.at.y});
        };
        const PixelPoint along_x = toward(0.01, 0), along_y = toward(0, 0.01);
        SnappedMark result{.mark = mark};
        bool all = true;
        const auto snap = [&](PixelPoint across, PixelPoint along, PixelPoint from) {
            const auto way = line_near(raster, from, across, along, reach);
            if (way) result.mark.at = moved_by(result.mark.at, across, *way);
            return way.has_value();
        };
        if (mark.x) all = snap(along_x, along_y, mark.at) && all;
        if (mark.y) all = snap(along_y, along_x, mark.at) && all;
        result.on_line = all;
        // Once more from there: beside a corner lines are seen less well than on it.
        const PixelPoint there = result.mark.at;
        if (all && mark.x) snap(along_x, along_y, there);
        if (all && mark.y) snap(along_y, along_x, there);
        result.moved = std::hypot(result.mark.at.x - mark.at.x, result.mark.at.y - mark.at.y);
        snapped.push_back(result);
    }
    return snapped;
}

}  // namespace gapwright
