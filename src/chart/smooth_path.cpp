#include "chart/smooth_path.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>
#include "chart/stroke.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double spacing = 2;      // px between points of the path
constexpr double bandwidth = 9;    // px to either side
constexpr double gap = 4;          // px without a place: bridged
constexpr std::size_t fewest = 9;  // places in a window

struct Window {
    std::size_t from = 0, to = 0;  // [from, to)
    double half = bandwidth;
};

Window window_at(const std::vector<SeenPoint>& seen, double way, std::size_t after) {
    // As wide as it takes to have places on both sides, wherever they go on.
    Window window;
    window.half = bandwidth;
    if (after > 0 && after < seen.size()) {
        const double hidden = seen[after].way - seen[after - 1].way;
        if (hidden > gap) window.half = std::max(window.half, hidden + bandwidth);
    }
    for (;;) {
        window.from = after;
        window.to = after;
        while (window.from > 0 && way - seen[window.from - 1].way < window.half) --window.from;
        while (window.to < seen.size() && seen[window.to].way - way < window.half) ++window.to;
        if (window.to - window.from >= std::min(fewest, seen.size())) return window;
        window.half *= 1.3;
    }
}

struct Fit {
    std::array<double, 3> x = {}, y = {};  // at, slope, half of the bend, over the way
    double noise = 0;                      // px rms
    double weight = 0;                     // places that count
};

Fit fit_window(const std::vector<SeenPoint>& seen, const Window& window, double way) {
    Fit fit;
    const std::size_t count = window.to - window.from;
    std::vector<double> trust(count, 1.0), residual(count);
    for (int round = 0; round < 3; ++round) {
        std::array<std::array<double, 5>, 3> normal{};
        fit.weight = 0;
        for (std::size_t k = 0; k < count; ++k) {
            const SeenPoint& p = seen[window.from + k];
            const double t = p.way - way, u = std::min(1.0, std::abs(t) / window.half);
            const double weight = trust[k] * std::pow(1 - u * u * u, 3) + 1e-9;
            fit.weight += weight;
            const std::array<double, 3> base = {1, t, t * t};
            for (std::size_t i = 0; i < 3; ++i) {
                for (std::size_t j = 0; j < 3; ++j) normal[i][j] += weight * base[i] * base[j];
                normal[i][3] += weight * base[i] * p.at.x;
                normal[i][4] += weight * base[i] * p.at.y;
            }
        }
        normal[2][2] += 1e-3;
        for (std::size_t i = 0; i < 3; ++i) {  // positive definite: no pivots needed
            for (std::size_t r = 0; r < 3; ++r) {
                if (r == i) continue;
                const double factor = normal[r][i] / normal[i][i];
                for (std::size_t c = i; c < 5; ++c) normal[r][c] -= factor * normal[i][c];
            }
        }
        for (std::size_t i = 0; i < 3; ++i) {
            fit.x[i] = normal[i][3] / normal[i][i];
            fit.y[i] = normal[i][4] / normal[i][i];
        }
        double squares = 0;
        for (std::size_t k = 0; k < count; ++k) {
            const SeenPoint& p = seen[window.from + k];
            const double t = p.way - way;
            residual[k] = std::hypot(p.at.x - fit.x[0] - fit.x[1] * t - fit.x[2] * t * t,
                                     p.at.y - fit.y[0] - fit.y[1] * t - fit.y[2] * t * t);
            squares += trust[k] * residual[k] * residual[k];
        }
        fit.noise = std::sqrt(squares / static_cast<double>(count));
        const double limit = 4 * std::max(0.15, fit.noise);
        for (std::size_t k = 0; k < count; ++k) {
            const double u = std::min(1.0, residual[k] / limit);
            trust[k] = (1 - u * u) * (1 - u * u);
        }
    }
    return fit;
}

}  // namespace

std::vector<PathPoint> smooth_path(const std::vector<SeenPoint>& seen, const StrokeLook& look) {
    std::vector<PathPoint> path;
    const double first = seen.front().way, length = seen.back().way - first;
    const int steps = std::max(1, static_cast<int>(std::lround(length / spacing)));
    std::size_t after = 0;  // the first seen place behind the point
    for (int k = 0; k <= steps; ++k) {
        const double way = first + length * k / steps;
        while (after < seen.size() && seen[after].way <= way) ++after;
        const Fit fit = fit_window(seen, window_at(seen, way, after), way);
        PathPoint point;
        point.at = {.x = fit.x[0], .y = fit.y[0]};
        const double speed = std::max(1e-9, std::hypot(fit.x[1], fit.y[1]));
        point.heading = {.x = fit.x[1] / speed, .y = fit.y[1] / speed};
        point.way = way;
        double hidden = 0;
        if (after > 0 && after < seen.size()) {
            const double before = way - seen[after - 1].way, behind = seen[after].way - way;
            point.seen = before + behind <= gap;
            if (!point.seen) hidden = std::min(before, behind);
        }
        // The stroke's edges may be uneven by a tenth of its width; half a pixel is rounded to
        // nothing, so a third of it remains; marks are rounded to whole pixels; what is hidden may
        // bend otherwise.
        const double scatter = fit.noise / std::sqrt(std::max(1.0, fit.weight / 3));
        const double marks = 0.29;  // rounding to a whole pixel, rectangular distribution
        point.error = std::hypot(scatter, 0.1 * look.area, 0.1 + 0.04 * hidden);
        point.error = std::hypot(point.error, marks);
        path.push_back(point);
    }
    return path;
}

}  // namespace gapwright
