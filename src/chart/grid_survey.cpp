#include "chart/grid_survey.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"

namespace gapwright {
namespace {

// Own choices, tried on synthetic charts.
constexpr double margin = 10;          // px outside of the area where its frame may be
constexpr double band_length = 28;     // px along the lines that are looked at together
constexpr double steepest = 0.13;      // px aside for each px along: 7.4°
constexpr int ridge_reach = 5;         // px to paper beside a line
constexpr double least_ridge = 0.05;   // darkness beyond that of the paper beside it
constexpr double near_straight = 1.6;  // px from where a line is expected in the next band
constexpr double whole_line = 0.8;     // of the bands that a line must be seen in
constexpr double agreeing = 1.3;       // px from end to end that lines of one fan differ
constexpr double at_border = 14;       // px

// Profiles across the lines, one for each band along them.
struct Bundle {
    double length = 0, breadth = 0;               // px
    std::vector<std::vector<double>> peaks = {};  // px across from the area's first border
    double band = 0;                              // px from band to band
};

struct Line {
    std::vector<double> along = {}, across = {};  // px
    double middle = 0, slope = 0, sag = 0;        // px across in the middle, px for each px, px
};

Bundle bundle_of(const Plane& darkness, const ChartScale& scale, const ChartArea& area,
                 bool level) {
    const auto place = [&](double along, double across) {
        const double u = level ? along : across, v = level ? across : along;
        return scale.from_fraction({.x = area.low.x + u * (area.high.x - area.low.x),
                                    .y = area.low.y + v * (area.high.y - area.low.y)});
    };
    const auto far = [](PixelPoint a, PixelPoint b) { return std::hypot(a.x - b.x, a.y - b.y); };
    Bundle bundle;
    bundle.length = far(place(0, 0), place(1, 0));
    bundle.breadth = far(place(0, 0), place(0, 1));
    const int bands = std::clamp(static_cast<int>(bundle.length / band_length), 6, 60);
    bundle.band = bundle.length / bands;
    const int samples = std::max(4, static_cast<int>(bundle.band / 2));
    const int count = static_cast<int>(bundle.breadth + 2 * margin);
    for (int band = 0; band < bands; ++band) {
        std::vector<double> profile(static_cast<std::size_t>(count));
        for (int k = 0; k < count; ++k) {
            double sum = 0;
            for (int s = 0; s < samples; ++s) {
                sum += darkness.between(
                    place((band + (s + 0.5) / samples) / bands, (k - margin) / bundle.breadth));
            }
            profile[static_cast<std::size_t>(k)] = sum / samples;
        }
        std::vector<double>& peaks = bundle.peaks.emplace_back();
        for (int k = 2; k + 2 < count; ++k) {
            const auto at = [&](int j) {
                return profile[static_cast<std::size_t>(std::clamp(j, 0, count - 1))];
            };
            const double beside = std::max(at(k - ridge_reach), at(k + ridge_reach));
            if (at(k) - beside < least_ridge) continue;
            bool highest = true;
            for (int j = k - 3; j <= k + 3; ++j) {
                highest = highest && (j == k || at(j) < at(k) || (at(j) == at(k) && j > k));
            }
            if (!highest) continue;
            double weight = 0, moment = 0;
            for (int j = k - 3; j <= k + 3; ++j) {
                const double ink = std::max(0.0, at(j) - beside);
                weight += ink;
                moment += ink * j;
            }
            peaks.push_back(moment / weight - margin);
        }
    }
    return bundle;
}

void fit(Line& line, double length) {
    double n = 0, s = 0, t = 0, ss = 0, st = 0;
    for (std::size_t k = 0; k < line.along.size(); ++k) {
        const double x = line.along[k] - 0.5 * length, y = line.across[k];
        n += 1;
        s += x;
        t += y;
        ss += x * x;
        st += x * y;
    }
    line.slope = (n * st - s * t) / (n * ss - s * s);
    line.middle = (t - line.slope * s) / n;
    // The bend that is left, as a parabola's height: noise of single places averages out.
    double qq = 0, qr = 0;
    for (std::size_t k = 0; k < line.along.size(); ++k) {
        const double x = (line.along[k] - 0.5 * length) / (0.5 * length);
        const double q = x * x - 1.0 / 3;
        qq += q * q;
        qr += q * (line.across[k] - line.middle - line.slope * x * 0.5 * length);
    }
    line.sag = std::abs(qr / qq);
}

// Follows a line both ways from one of its places.
std::optional<Line> followed(const Bundle& bundle, std::size_t start, double from) {
    const auto bands = static_cast<int>(bundle.peaks.size());
    Line line;
    std::vector<std::optional<double>> seen(bundle.peaks.size());
    seen[start] = from;
    for (const int step : {1, -1}) {
        double last = from, slope = 0, missed = 0;
        bool slope_known = false;
        for (int band = static_cast<int>(start) + step; band >= 0 && band < bands; band += step) {
            missed += 1;
            if (missed > 4) break;
            const double reach =
                slope_known ? near_straight : near_straight + steepest * bundle.band * missed;
            const double expected = last + slope * missed * bundle.band;
            const auto& peaks = bundle.peaks[static_cast<std::size_t>(band)];
            const auto nearest = std::ranges::min_element(
                peaks, {}, [&](double peak) { return std::abs(peak - expected); });
            if (nearest == peaks.end() || std::abs(*nearest - expected) > reach) continue;
            const double here = (*nearest - last) / (missed * bundle.band);
            slope = slope_known ? 0.7 * slope + 0.3 * here : here;
            slope_known = true;
            last = *nearest;
            missed = 0;
            seen[static_cast<std::size_t>(band)] = last;
        }
    }
    for (std::size_t k = 0; k < seen.size(); ++k) {
        if (!seen[k]) continue;
        line.along.push_back((static_cast<double>(k) + 0.5) * bundle.band);
        line.across.push_back(*seen[k]);
    }
    if (static_cast<double>(line.along.size()) < whole_line * bands) return std::nullopt;
    fit(line, bundle.length);
    if (std::abs(line.slope) > steepest) return std::nullopt;
    return line;
}

std::vector<Line> lines_of(const Bundle& bundle) {
    std::vector<Line> lines;
    const std::size_t bands = bundle.peaks.size();
    for (const std::size_t start : {bands / 2, bands / 3, 2 * bands / 3}) {
        for (const double peak : bundle.peaks[start]) {
            auto line = followed(bundle, start, peak);
            if (!line) continue;
            const auto same = [&](const Line& other) {
                return std::abs(other.middle - line->middle) < 3;
            };
            if (std::ranges::none_of(lines, same)) lines.push_back(std::move(*line));
        }
    }
    return lines;
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::ranges::nth_element(values, middle);
    return *middle;
}

// The fan that most lines belong to: curves may run almost like grid lines, but not all alike.
std::optional<LineFan> fan_of(const Bundle& bundle) {
    const std::vector<Line> lines = lines_of(bundle);
    const double tolerance = agreeing / bundle.length;
    const auto expected = [&](const Line& a, const Line& b, double middle) {
        return a.slope + (b.slope - a.slope) * (middle - a.middle) / (b.middle - a.middle);
    };
    std::vector<const Line*> best;
    double best_turn = 0;
    for (const Line& a : lines) {
        for (const Line& b : lines) {
            if (b.middle - a.middle < 0.3 * bundle.breadth) continue;
            std::vector<const Line*> agree;
            for (const Line& line : lines) {
                const double off = std::abs(line.slope - expected(a, b, line.middle));
                if (off <= tolerance) agree.push_back(&line);
            }
            const double turn = std::abs(a.slope) + std::abs(b.slope);
            if (agree.size() > best.size() || (agree.size() == best.size() && turn < best_turn)) {
                best = std::move(agree);
                best_turn = turn;
            }
        }
    }
    if (best.size() < 2) return std::nullopt;
    const auto [low, high] = std::ranges::minmax(best, {}, &Line::middle);
    const bool frame = low->middle < at_border && high->middle > bundle.breadth - at_border;
    if (best.size() < 3 && !frame) return std::nullopt;
    double n = 0, s = 0, t = 0, ss = 0, st = 0;
    std::vector<double> sags;
    for (const Line* line : best) {
        const double x = line->middle / bundle.breadth - 0.5, y = line->slope;
        n += 1;
        s += x;
        t += y;
        ss += x * x;
        st += x * y;
        sags.push_back(line->sag);
    }
    const double fan = (n * st - s * t) / (n * ss - s * s), tilt = (t - fan * s) / n;
    const double across = bundle.length / bundle.breadth;
    return LineFan{.lines = static_cast<int>(best.size()),
                   .tilt = tilt * across,
                   .fan = fan * across,
                   .sag = median(sags) / bundle.breadth,
                   .angle = std::abs(std::atan(tilt + 0.5 * fan) - std::atan(tilt - 0.5 * fan))};
}

}  // namespace

GridSurvey survey_grid(const Plane& darkness, const ChartScale& scale, const ChartArea& area) {
    return {.level = fan_of(bundle_of(darkness, scale, area, true)),
            .upright = fan_of(bundle_of(darkness, scale, area, false))};
}

ChartPoint reading_off(const GridSurvey& survey, ChartPoint at, ChartPoint anchor) {
    // Seen from the marks' lines, to first order in the vanishing line's place: lines of one
    // direction that fan out foreshorten the axis that they cross (Hartley & Zisserman 2004,
    // section 2.4; worked out here).
    ChartPoint off;
    if (survey.level) {
        const double slope = survey.level->tilt + survey.level->fan * (at.y - 0.5);
        off.y += slope * (at.x - anchor.x);
        off.x -= survey.level->fan * at.x * (1 - at.x);
    }
    if (survey.upright) {
        const double slope = survey.upright->tilt + survey.upright->fan * (at.x - 0.5);
        off.x += slope * (at.y - anchor.y);
        off.y -= survey.upright->fan * at.y * (1 - at.y);
    }
    return off;
}

}  // namespace gapwright
