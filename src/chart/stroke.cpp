#include "chart/stroke.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>
#include <utility>
#include <vector>
#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double step_aside = 0.5;                                 // px between samples across
constexpr double widest_stroke = 14;                               // px that are looked at across
constexpr std::array along_samples = {-2.0, -1.0, 0.0, 1.0, 2.0};  // px

struct Profile {
    std::vector<double> ink, trust;  // from -half in steps of step_aside
    double half = 0;

    [[nodiscard]] double aside(std::size_t k) const {
        return static_cast<double>(k) * step_aside - half;
    }
};

Profile profile_at(const CurveInk& ink, PixelPoint at, Heading heading, double half) {
    Profile profile;
    profile.half = half;
    for (double aside = -half; aside <= half + 1e-9; aside += step_aside) {
        double sum = 0, weight = 0;
        for (const double way : along_samples) {
            const PixelPoint p = moved(at, heading, way, aside);
            const double trust = ink.trust.between(p);
            sum += trust * ink.ink.between(p);
            weight += trust;
        }
        profile.ink.push_back(weight > 0.05 ? sum / weight : 0);
        profile.trust.push_back(weight / static_cast<double>(along_samples.size()));
    }
    return profile;
}

// Weighted straight or quadratic fit of y over t, t = 0 at the end; three unknowns.
std::array<double, 3> fit_quadratic(const std::vector<std::array<double, 3>>& rows,
                                    bool quadratic) {
    std::array<std::array<double, 4>, 3> normal{};
    for (const auto& [t, y, weight] : rows) {
        const std::array<double, 3> base = {1, t, quadratic ? t * t : 0};
        for (std::size_t i = 0; i < 3; ++i) {
            for (std::size_t j = 0; j < 3; ++j) normal[i][j] += weight * base[i] * base[j];
            normal[i][3] += weight * base[i] * y;
        }
    }
    normal[2][2] += quadratic ? 1e-6 : 1;
    normal[1][1] += 1e-9;
    for (std::size_t i = 0; i < 3; ++i) {  // positive definite: no pivots needed
        for (std::size_t r = 0; r < 3; ++r) {
            if (r == i) continue;
            const double factor = normal[r][i] / normal[i][i];
            for (std::size_t c = i; c < 4; ++c) normal[r][c] -= factor * normal[i][c];
        }
    }
    return {normal[0][3] / normal[0][0], normal[1][3] / normal[1][1], normal[2][3] / normal[2][2]};
}

}  // namespace

CrossSection cross_section(const CurveInk& ink, const StrokeLook& look, PixelPoint at,
                           Heading heading, double reach) {
    const double half = reach + std::clamp(look.area, 1.0, widest_stroke) + 3.5;
    const Profile profile = profile_at(ink, at, heading, half);
    const std::size_t count = profile.ink.size();
    CrossSection section;
    std::size_t top = count;
    double best = 0;
    for (std::size_t k = 0; k < count; ++k) {
        const double aside = profile.aside(k);
        if (std::abs(aside) > reach + 0.5 * look.area) continue;
        const double here = profile.ink[k] * (1 - 0.25 * std::abs(aside) / (reach + look.area));
        if (here > best) {
            best = here;
            top = k;
        }
    }
    if (top == count) return section;
    section.peak = profile.ink[top];
    // Out to where the ink has gone, or rises again.
    const double gone = 0.2 * section.peak;
    std::size_t from = top, to = top;
    while (from > 0 && profile.ink[from - 1] > gone) --from;
    while (to + 1 < count && profile.ink[to + 1] > gone) ++to;
    double sum = 0, moment = 0, trust = 1;
    for (std::size_t k = from; k <= to; ++k) {
        sum += profile.ink[k];
        moment += profile.ink[k] * profile.aside(k);
        trust = std::min(trust, profile.trust[k]);
    }
    section.area = sum * step_aside;
    section.aside = moment / sum;
    const auto flank = [&](std::size_t edge, std::ptrdiff_t side) {
        double most = 0, least_trust = 1;
        for (std::ptrdiff_t k = 2; k <= 4; ++k) {
            const auto at_k = static_cast<std::ptrdiff_t>(edge) + side * k;
            if (at_k < 0 || at_k >= static_cast<std::ptrdiff_t>(count)) return false;
            most = std::max(most, profile.ink[static_cast<std::size_t>(at_k)]);
            least_trust = std::min(least_trust, profile.trust[static_cast<std::size_t>(at_k)]);
        }
        return most < 0.35 * section.peak && least_trust > 0.1;
    };
    section.clean = section.peak > 0.45 * look.peak && section.area > 0.5 * look.area &&
                    section.area < 1.45 * look.area + 0.4 && trust > 0.35 &&
                    std::abs(section.aside) <= reach && flank(from, -1) && flank(to, 1);
    return section;
}

CrossSection fitted_section(const CurveInk& ink, const StrokeLook& look, PixelPoint at,
                            Heading heading, double reach) {
    CrossSection section;
    if (look.shape.empty()) return section;
    const double half = reach + 0.5 * look.area + 3;
    std::vector<double> seen, grid;
    double hidden = 0;
    for (double aside = -half; aside <= half + 1e-9; aside += step_aside) {
        double all = 0, lines = 0;
        for (const double way : along_samples) {
            const PixelPoint p = moved(at, heading, way, aside);
            const double line = ink.grid.between(p);
            all += line + ink.ink.between(p) * (1 - line);
            lines += line;
        }
        seen.push_back(all / static_cast<double>(along_samples.size()));
        grid.push_back(lines / static_cast<double>(along_samples.size()));
        hidden = std::max(hidden, grid.back());
    }
    if (hidden < 0.2) return section;  // no grid here: what disturbs is something else
    const auto misfit = [&](double middle, bool stroke) {
        double sum = 0;
        for (std::size_t k = 0; k < seen.size(); ++k) {
            const double aside = static_cast<double>(k) * step_aside - half - middle;
            const double place = (aside + shape_reach) / step_aside;
            double own = 0;
            if (stroke && place >= 0 && place < static_cast<double>(look.shape.size() - 1)) {
                const auto j = static_cast<std::size_t>(place);
                const double f = place - static_cast<double>(j);
                own = (1 - f) * look.shape[j] + f * look.shape[j + 1];
            }
            const double expected = own + grid[k] * (1 - own);
            sum += (seen[k] - expected) * (seen[k] - expected);
        }
        return sum * step_aside;
    };
    double best = 1e9;
    for (double middle = -reach; middle <= reach + 1e-9; middle += 0.25) {
        const double here = misfit(middle, true);
        if (here < best) {
            best = here;
            section.aside = middle;
        }
    }
    section.peak = look.peak;
    section.area = look.area;
    const double least = misfit(0, false);
    const double beside =
        std::min(misfit(section.aside - 1, true), misfit(section.aside + 1, true));
    const double whole = look.area * look.peak;  // what leaving the stroke out costs on paper
    section.clean = best < 0.05 * whole + 0.02 && least > best + 0.2 * whole &&
                    beside > best + 0.06 * look.peak && std::abs(section.aside) < reach;
    return section;
}

CrossSection best_section(const CurveInk& ink, const StrokeLook& look, PixelPoint at,
                          Heading heading, double reach) {
    const CrossSection section = cross_section(ink, look, at, heading, reach);
    return section.clean ? section : fitted_section(ink, look, at, heading, reach);
}

Bend bend_of(const std::vector<SeenPoint>& seen, double length) {
    const SeenPoint& last = seen.back();
    std::size_t from = seen.size() - 1;
    while (from > 0 && last.way - seen[from - 1].way <= length) --from;
    if (from == seen.size() - 1) from = seen.size() - 2;
    const std::size_t middle = from + (seen.size() - 1 - from) / 2;
    PixelPoint chord = {.x = last.at.x - seen[middle].at.x, .y = last.at.y - seen[middle].at.y};
    double size = std::hypot(chord.x, chord.y);
    if (size < 1e-6) {
        chord = {.x = last.at.x - seen[from].at.x, .y = last.at.y - seen[from].at.y};
        size = std::max(1e-6, std::hypot(chord.x, chord.y));
    }
    const Heading base = {.x = chord.x / size, .y = chord.y / size};
    std::vector<std::array<double, 3>> rows;
    double span = 0;
    for (std::size_t k = from; k < seen.size(); ++k) {
        const double dx = seen[k].at.x - last.at.x, dy = seen[k].at.y - last.at.y;
        const double t = dx * base.x + dy * base.y;
        const double y = -dx * base.y + dy * base.x;
        const double behind = (last.way - seen[k].way) / length;
        rows.push_back({t, y, std::exp(-behind * behind)});
        span = std::max(span, -t);
    }
    const auto [a, b, c] = fit_quadratic(rows, rows.size() >= 7 && span > 8);
    Bend bend;
    double noise = 0;
    for (const auto& [t, y, weight] : rows) noise += std::pow(y - a - b * t - c * t * t, 2);
    bend.noise = std::sqrt(noise / static_cast<double>(rows.size()));
    bend.at = moved(last.at, base, 0, a);
    bend.heading = turned(base, std::atan(b));
    bend.bend = 2 * c / std::pow(1 + b * b, 1.5);
    return bend;
}

std::optional<StrokeStart> stroke_at(const CurveInk& ink, PixelPoint seed) {
    constexpr int directions = 36;
    constexpr double half = 9;  // px of the stroke looked at to either side
    double best = 0;
    std::optional<StrokeStart> start;
    for (int k = 0; k < directions; ++k) {
        const Heading heading = turned({.x = 1, .y = 0}, std::numbers::pi * k / directions);
        for (double aside = -5; aside <= 5; aside += 0.5) {
            double sum = 0, weight = 0;
            for (double way = -half; way <= half; way += 1) {
                const PixelPoint p = moved(seed, heading, way, aside);
                const double trust = ink.trust.between(p);
                sum += trust * ink.ink.between(p);
                weight += trust;
            }
            if (weight < 0.4 * (2 * half + 1)) continue;
            const double score = sum / weight * (1 - 0.05 * std::abs(aside));
            if (score > best) {
                best = score;
                start = StrokeStart{.at = moved(seed, heading, 0, aside), .heading = heading};
            }
        }
    }
    if (!start || best < 0.3) return std::nullopt;
    // The look is the median of cross-sections judged by themselves.
    std::vector<double> areas, peaks;
    for (double way = -half; way <= half; way += 1.5) {
        const PixelPoint at = moved(start->at, start->heading, way);
        const CrossSection rough =
            cross_section(ink, {.area = 3, .peak = 0.7}, at, start->heading, 2);
        if (rough.peak < 0.3) continue;
        areas.push_back(rough.area);
        peaks.push_back(rough.peak);
    }
    if (areas.size() < 5) return std::nullopt;
    std::ranges::sort(areas);
    std::ranges::sort(peaks);
    start->look = {.area = areas[areas.size() / 2], .peak = peaks[peaks.size() / 2]};
    if (start->look.area > widest_stroke) return std::nullopt;
    // Its shape is the mean of the clean ones, each about its own middle.
    int clean = 0;
    const int count = static_cast<int>(2 * shape_reach / step_aside) + 1;
    std::vector<double> shape(static_cast<std::size_t>(count));
    for (double way = -half; way <= half; way += 1.5) {
        const PixelPoint at = moved(start->at, start->heading, way);
        const CrossSection section = cross_section(ink, start->look, at, start->heading, 2.5);
        if (!section.clean) continue;
        ++clean;
        const PixelPoint middle = moved(at, start->heading, 0, section.aside);
        const Profile profile = profile_at(ink, middle, start->heading, shape_reach);
        for (std::size_t k = 0; k < shape.size(); ++k) {
            const bool own = std::abs(profile.aside(k)) <= 0.5 * start->look.area + 2.5;
            if (own) shape[k] += profile.ink[k];
        }
    }
    if (clean < 5) return std::nullopt;
    for (double& part : shape) part /= clean;
    start->look.shape = std::move(shape);
    return start;
}

}  // namespace gapwright
