#include "chart/grid_survey.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"

namespace gapwright {
namespace {

// Own choices, tried on synthetic charts.
constexpr double margin_part = 0.07;   // of the breadth outside of the area, where its frame may be
constexpr double band_length = 28;     // px along the lines that are looked at together
constexpr double steepest = 0.18;      // px aside for each px along: 10°
constexpr int ridge_reach = 5;         // px to paper beside a line
constexpr double least_ridge = 0.035;  // darkness beyond that of the paper beside it
constexpr double near_straight = 1.6;  // px from where a line is expected in the next band
constexpr std::size_t remembered = 8;  // bands by which that is expected: curves that cross disturb
constexpr double whole_line = 0.65;    // of the bands that a line must be seen in
constexpr double agreeing = 1.3;       // px from end to end that lines of one fan differ
constexpr double at_border = 0.04;     // of the breadth

// Profiles across the lines, one for each band along them.
struct Bundle {
    double length = 0, breadth = 0, margin = 0;   // px
    std::vector<std::vector<double>> peaks = {};  // px across from the area's first border
    double band = 0;                              // px from band to band
};

struct Line {
    std::vector<double> along = {}, across = {};  // px
    double middle = 0, slope = 0, sag = 0;        // px across in the middle, px for each px, px
    bool whole = true;                            // seen from border to border
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
    bundle.margin = 10 + margin_part * bundle.breadth;
    const double margin = bundle.margin;
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

// Where the straight line through places leads; level through a single one.
double straight_on(const std::vector<PixelPoint>& places, double x) {
    double n = 0, s = 0, t = 0, ss = 0, st = 0;
    for (const PixelPoint& place : places) {
        n += 1;
        s += place.x;
        t += place.y;
        ss += place.x * place.x;
        st += place.x * place.y;
    }
    const double spread = n * ss - s * s;
    const double slope = spread > 0 ? (n * st - s * t) / spread : 0;
    return (t + slope * (n * x - s)) / n;
}

// Follows a line both ways from one of its places.
std::optional<Line> followed(const Bundle& bundle, std::size_t start, double from) {
    const auto bands = static_cast<int>(bundle.peaks.size());
    Line line;
    std::vector<std::optional<double>> seen(bundle.peaks.size());
    seen[start] = from;
    for (const int step : {1, -1}) {
        std::vector<PixelPoint> recent = {{.x = 0, .y = from}};  // bands from the start, px across
        int missed = 0;
        for (int way = 1; missed < 4; ++way) {
            const int band = static_cast<int>(start) + step * way;
            if (band < 0 || band >= bands) break;
            const double reach = recent.size() > 1
                                     ? near_straight + 0.3 * missed
                                     : near_straight + steepest * bundle.band * (missed + 1);
            const double expected = straight_on(recent, way);
            const auto& peaks = bundle.peaks[static_cast<std::size_t>(band)];
            const auto nearest = std::ranges::min_element(
                peaks, {}, [&](double peak) { return std::abs(peak - expected); });
            ++missed;
            if (nearest == peaks.end() || std::abs(*nearest - expected) > reach) continue;
            missed = 0;
            recent.push_back({.x = double(way), .y = *nearest});
            if (recent.size() > remembered) recent.erase(recent.begin());
            seen[static_cast<std::size_t>(band)] = *nearest;
        }
    }
    // Grid lines run from border to border, which curves that lie as straight seldom do.
    line.whole = seen.front() && seen.back();
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
    for (const std::size_t start : {bands / 2, bands / 3, 2 * bands / 3, bands / 6, 5 * bands / 6,
                                    bands / 4, 3 * bands / 4}) {
        for (const double peak : bundle.peaks[start]) {
            auto line = followed(bundle, start, peak);
            if (!line) continue;
            const auto same = [&](const Line& other) {
                return std::abs(other.middle - line->middle) < 3 &&
                       std::abs(other.slope - line->slope) < 0.004;
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

struct Agreement {
    std::vector<const Line*> lines = {};
    double turn = 0;     // how far the two run that it was made of
    bool frame = false;  // lines at both borders are among them
};

// Curves may run almost like grid lines, and fan out as they rise, but not all alike; a frame at
// both borders settles it.
double weight(const Agreement& agreement) {
    constexpr double of_frame = 4;  // lines
    return static_cast<double>(agreement.lines.size()) + (agreement.frame ? of_frame : 0);
}

// The fan that most lines belong to. `least_turned`: how many must, without a frame, where they do
// not run as the marks say.
std::optional<LineFan> fan_of(const Bundle& bundle, const std::vector<Line>& lines,
                              std::size_t least_turned) {
    constexpr std::size_t least = 3;  // lines, without a frame
    constexpr double turned = 0.012;
    const double tolerance = agreeing / bundle.length;
    Agreement found;
    for (const Line& a : lines) {
        for (const Line& b : lines) {
            if (b.middle - a.middle < 0.3 * bundle.breadth) continue;
            Agreement made{.turn = std::abs(a.slope) + std::abs(b.slope)};
            double low = bundle.breadth, high = 0;
            for (const Line& line : lines) {
                const double expected = a.slope + (b.slope - a.slope) * (line.middle - a.middle) /
                                                      (b.middle - a.middle);
                if (std::abs(line.slope - expected) > tolerance) continue;
                made.lines.push_back(&line);
                low = std::min(low, line.middle);
                high = std::max(high, line.middle);
            }
            made.frame =
                low < at_border * bundle.breadth && high > (1 - at_border) * bundle.breadth;
            if (weight(made) > weight(found) ||
                (weight(made) == weight(found) && made.turn < found.turn)) {
                found = std::move(made);
            }
        }
    }
    const std::vector<const Line*>& best = found.lines;
    const std::size_t wanted = found.turn > turned ? least_turned : least;
    if (best.size() < 2 || (best.size() < wanted && !found.frame)) return std::nullopt;
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
    std::vector<double> places;
    for (const Line* line : best) places.push_back(line->middle / bundle.breadth);
    std::ranges::sort(places);
    return LineFan{.lines = static_cast<int>(best.size()),
                   .tilt = tilt * across,
                   .fan = fan * across,
                   .sag = median(sags) / bundle.breadth,
                   .angle = std::abs(std::atan(tilt + 0.5 * fan) - std::atan(tilt - 0.5 * fan)),
                   .places = std::move(places)};
}

}  // namespace

GridSurvey survey_grid(const Plane& darkness, const ChartScale& scale, const ChartArea& area) {
    const Bundle level = bundle_of(darkness, scale, area, true);
    const Bundle upright = bundle_of(darkness, scale, area, false);
    const std::vector<Line> levels = lines_of(level), uprights = lines_of(upright);
    const auto whole = [](std::vector<Line> lines) {
        std::erase_if(lines, [](const Line& line) { return !line.whole; });
        return lines;
    };
    GridSurvey survey{.level = fan_of(level, whole(levels), 4),
                      .upright = fan_of(upright, whole(uprights), 4)};
    // Of a picture taken much at an angle, lines end inside of the marks' rectangle; but then both
    // directions have lines, which a family of curves on bare axes has not.
    auto any_level = fan_of(level, levels, 3), any_upright = fan_of(upright, uprights, 3);
    if (any_level && any_upright) {
        if (!survey.level) survey.level = std::move(any_level);
        if (!survey.upright) survey.upright = std::move(any_upright);
    }
    return survey;
}

LineSpacing spacing_of(const std::optional<LineFan>& fan) {
    constexpr std::size_t least = 5;
    constexpr double off_step = 0.12, doubled = 0.6;  // of the smallest gap that counts
    if (!fan || fan->places.size() < least) return LineSpacing::unknown;
    std::vector<double> gaps;
    for (std::size_t k = 0; k + 1 < fan->places.size(); ++k) {
        gaps.push_back(fan->places[k + 1] - fan->places[k]);
    }
    // A frame beside the last grid line makes one gap that is none.
    std::erase_if(gaps, [typical = median(gaps)](double gap) { return gap < 0.15 * typical; });
    const double step = std::ranges::min(gaps);
    int off = 0, larger = 0;
    for (const double gap : gaps) {
        const double steps = gap / step;
        off += std::abs(steps - std::round(steps)) > off_step * std::max(1.0, steps / 2) ? 1 : 0;
        larger += steps > 1 + doubled ? 1 : 0;
    }
    if (off >= 3 || (off >= 2 && larger >= 2)) return LineSpacing::uneven;
    return off == 0 ? LineSpacing::even : LineSpacing::unknown;
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
