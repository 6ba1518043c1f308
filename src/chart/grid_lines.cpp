// Finds a chart's grid by adding up ink along both axes' directions.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr int segments = 16;         // of a line, each judged by itself: a curve crosses a few
constexpr double inked_part = 0.8;   // of them that a grid line has ink in
constexpr double line_reach = 3.5;   // px to either side that belong to a line
constexpr double offset_step = 0.5;  // px
constexpr double hiding_ink = 0.55;  // of the curve's: no trust at all

// Lines of one direction. A line's offset is counted in pixels across the area.
struct Bundle {
    PixelPoint start, along, across;   // along and across: px from border to border
    double length = 0, breadth = 0;    // px
    double tilt = 0;                   // px across from a line's start to its end
    std::vector<double> profile = {};  // ink at offsets of offset_step from -margin, lines only
};
constexpr double margin = 6;  // px outside of the area where its frame may be

PixelPoint point(const Bundle& bundle, double part, double offset) {
    const double side = (offset + bundle.tilt * (part - 0.5)) / bundle.breadth;
    return {.x = bundle.start.x + part * bundle.along.x + side * bundle.across.x,
            .y = bundle.start.y + part * bundle.along.y + side * bundle.across.y};
}

int offsets(const Bundle& bundle) {
    return static_cast<int>((bundle.breadth + 2 * margin) / offset_step) + 1;
}

double offset_of(int index) {
    return index * offset_step - margin;
}

// Sharp lines have a large sum of squares of their means.
double sharpness(const Plane& ink, const Bundle& bundle) {
    const int samples = std::max(8, static_cast<int>(bundle.length / 5));
    double sum = 0;
    for (int k = 0; k < offsets(bundle); k += 2) {
        double mean = 0;
        for (int s = 0; s < samples; ++s) {
            mean += ink.between(point(bundle, (s + 0.5) / samples, offset_of(k)));
        }
        sum += mean * mean;
    }
    return sum;
}

void find_tilt(const Plane& ink, Bundle& bundle) {
    double best = -1, found = 0;
    for (double tilt = -4; tilt <= 4; tilt += 0.5) {  // marks are a pixel or two off
        bundle.tilt = tilt;
        const double sharp = sharpness(ink, bundle) * (1 - 1e-3 * std::abs(tilt));
        if (sharp > best) {
            best = sharp;
            found = tilt;
        }
    }
    bundle.tilt = found;
}

struct Strip {
    double typical = 0;    // median of the segments' mean ink
    double low = 0;        // ink that all but a fifth of the segments have
    bool at_ends = false;  // ink at both borders
};

std::vector<Strip> strips(const Plane& ink, const Bundle& bundle) {
    std::vector<Strip> found;
    const int samples = std::max(4, static_cast<int>(bundle.length / segments));
    for (int k = 0; k < offsets(bundle); ++k) {
        std::vector<double> means;
        for (int part = 0; part < segments; ++part) {
            double mean = 0;
            for (int s = 0; s < samples; ++s) {
                mean += ink.between(
                    point(bundle, (part + (s + 0.5) / samples) / segments, offset_of(k)));
            }
            means.push_back(mean / samples);
        }
        Strip strip;
        const double ends = std::min(means.front(), means.back());
        std::ranges::sort(means);
        strip.typical = means[segments / 2];
        strip.low = means[static_cast<std::size_t>(segments * (1 - inked_part))];
        strip.at_ends = ends > 0.5 * strip.typical;
        found.push_back(strip);
    }
    return found;
}

void find_lines(const Plane& ink, Bundle& bundle) {
    const auto found = strips(ink, bundle);
    const int count = static_cast<int>(found.size());
    bundle.profile.assign(found.size(), 0);
    std::vector<double> sorted;
    for (const Strip& strip : found) sorted.push_back(strip.typical);
    std::ranges::nth_element(sorted, sorted.begin() + count / 4);
    const double paper = sorted[static_cast<std::size_t>(count / 4)];
    const int reach = static_cast<int>(line_reach / offset_step);
    for (int k = 0; k < count; ++k) {
        const Strip& here = found[static_cast<std::size_t>(k)];
        const int from = std::max(0, k - reach), to = std::min(count - 1, k + reach);
        bool highest = true;
        for (int j = std::max(0, k - 2); j <= std::min(count - 1, k + 2); ++j) {
            highest = highest && found[static_cast<std::size_t>(j)].typical <= here.typical;
        }
        if (!highest || here.typical - paper < 0.06) continue;
        if (here.low - paper < 0.45 * (here.typical - paper) || !here.at_ends) continue;
        for (int j = from; j <= to; ++j) {
            bundle.profile[static_cast<std::size_t>(j)] =
                std::max(0.0, found[static_cast<std::size_t>(j)].typical - 0.5 * paper);
        }
    }
}

double grid_at(const Bundle& bundle, double part, double side) {
    const double offset = side * bundle.breadth - bundle.tilt * (part - 0.5);
    const double at = (offset + margin) / offset_step;
    if (!(at >= 0 && at < static_cast<double>(bundle.profile.size() - 1))) return 0;
    const auto k = static_cast<std::size_t>(at);
    const double f = at - static_cast<double>(k);
    return (1 - f) * bundle.profile[k] + f * bundle.profile[k + 1];
}

PixelPoint minus(PixelPoint a, PixelPoint b) {
    return {.x = a.x - b.x, .y = a.y - b.y};
}

Bundle bundle_of(PixelPoint start, PixelPoint end, PixelPoint side) {
    Bundle bundle{.start = start, .along = minus(end, start), .across = minus(side, start)};
    bundle.length = std::hypot(bundle.along.x, bundle.along.y);
    const double cross = bundle.along.x * bundle.across.y - bundle.along.y * bundle.across.x;
    bundle.breadth = std::abs(cross) / bundle.length;
    return bundle;
}

}  // namespace

CurveInk without_grid(const Plane& ink, const ChartScale& scale, const ChartArea& area) {
    const PixelPoint corner = scale.from_fraction(area.low);
    const PixelPoint right = scale.from_fraction({.x = area.high.x, .y = area.low.y});
    const PixelPoint top = scale.from_fraction({.x = area.low.x, .y = area.high.y});
    Bundle level = bundle_of(corner, right, top), upright = bundle_of(corner, top, right);
    for (Bundle* bundle : {&level, &upright}) {
        find_tilt(ink, *bundle);
        find_lines(ink, *bundle);
    }
    CurveInk result{.ink = Plane(ink.width(), ink.height()),
                    .trust = Plane(ink.width(), ink.height()),
                    .grid = Plane(ink.width(), ink.height())};
    const double wide = area.high.x - area.low.x, high = area.high.y - area.low.y;
    for (int y = 0; y < ink.height(); ++y) {
        for (int x = 0; x < ink.width(); ++x) {
            const ChartPoint f = scale.to_fraction({.x = double(x), .y = double(y)});
            const double u = (f.x - area.low.x) / wide, v = (f.y - area.low.y) / high;
            result.trust.at(x, y) = 1;
            const double out_x = 2 / upright.breadth, out_y = 2 / level.breadth;
            if (u < -out_x || u > 1 + out_x || v < -out_y || v > 1 + out_y) continue;
            const double grid =
                std::min(0.98, std::max(grid_at(level, u, v), grid_at(upright, v, u)));
            const double left = (ink.at(x, y) - grid) / (1 - grid);
            result.grid.at(x, y) = static_cast<float>(grid);
            result.trust.at(x, y) = static_cast<float>(std::clamp(1 - grid / hiding_ink, 0.0, 1.0));
            result.ink.at(x, y) = static_cast<float>(std::clamp(left, 0.0, 1.0));
        }
    }
    return result;
}

}  // namespace gapwright
