#include "chart/dash_kinks.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>
#include <vector>
#include "chart/stroke.hpp"

namespace gapwright {
namespace {

// Own choices, tried on synthetic charts.
constexpr double window = 28;       // px over which a direction is taken
constexpr double apart = 24;        // px between two directions of one side
constexpr double clear = 26;        // px from the place to the middle of the nearer window
constexpr double unexplained = 5;   // degrees; noise is about 1.5
constexpr double long_bridge = 24;  // px without a seen place; dashes lie closer
constexpr int fewest_gaps = 4;      // about the place: a label makes one or two

// The direction, in radians, of the places within half a window of `way`; nothing with too few.
std::optional<double> direction(const std::vector<SeenPoint>& seen, std::size_t near, double way) {
    double count = 0, w = 0, x = 0, y = 0, ww = 0, wx = 0, wy = 0;
    const auto add = [&](const SeenPoint& p) {
        const double t = p.way - way;
        count += 1;
        w += t;
        x += p.at.x;
        y += p.at.y;
        ww += t * t;
        wx += t * p.at.x;
        wy += t * p.at.y;
    };
    for (std::size_t k = near; k < seen.size() && seen[k].way <= way + window / 2; ++k) {
        if (seen[k].way >= way - window / 2) add(seen[k]);
    }
    for (std::size_t k = near; k-- > 0 && seen[k].way >= way - window / 2;) {
        if (seen[k].way <= way + window / 2) add(seen[k]);
    }
    const double spread = ww - w * w / std::max(1.0, count);
    if (count < 5 || spread < count * 30) return std::nullopt;
    return std::atan2(wy - w * y / count, wx - w * x / count);
}

double turn(double from, double to) {
    return std::remainder(to - from, 2 * std::numbers::pi);
}

// Whether there is such a turn where a long way behind place k is bridged, as behind a label:
// directions of what is seen on both sides of the bridge.
bool is_bent_bridge(const std::vector<SeenPoint>& seen, std::size_t k) {
    // px from the bridge's ends to the middles of windows: the nearest with enough in it
    constexpr std::array insides = {10.0, 16.0, 22.0, 34.0};
    constexpr double least_turn = 8;    // degrees
    constexpr double per_length = 0.1;  // degrees more for each px that bends are carried over
    const auto nearest = [&](std::size_t place, double side) -> std::optional<double> {
        for (const double inside : insides) {
            const double way = seen[place].way + side * inside;
            if (direction(seen, place, way)) return way;
        }
        return std::nullopt;
    };
    const auto from = nearest(k, -1), to = nearest(k + 1, 1);
    if (!from || !to) return false;
    const double before = *direction(seen, k, *from), behind = *direction(seen, k + 1, *to);
    double bend = 0, sides = 0;
    if (const auto far_before = direction(seen, k, *from - apart)) {
        bend += turn(*far_before, before) / apart;
        sides += 1;
    }
    if (const auto far_behind = direction(seen, k + 1, *to + apart)) {
        bend += turn(behind, *far_behind) / apart;
        sides += 1;
    }
    if (sides > 1) bend /= sides;
    const double left = turn(before, behind) - bend * (*to - *from);
    const double gap = seen[k + 1].way - seen[k].way;
    return std::abs(left) > (least_turn + per_length * gap) * std::numbers::pi / 180;
}

}  // namespace

std::optional<std::size_t> first_kink(const std::vector<SeenPoint>& seen, std::size_t sure) {
    constexpr double reach = clear + apart + window / 2;
    std::vector<int> gaps(seen.size());  // up to each place
    for (std::size_t k = 1; k < seen.size(); ++k) {
        gaps[k] = gaps[k - 1] + (seen[k].way - seen[k - 1].way > 3 ? 1 : 0);
    }
    std::size_t low = 0, high = 0;
    for (std::size_t k = 0; k < seen.size(); ++k) {
        const double way = seen[k].way;
        while (seen[low].way < way - reach) ++low;
        while (high + 1 < seen.size() && seen[high + 1].way <= way + reach) ++high;
        if (k + 1 < sure) continue;
        if (k + 1 < seen.size() && seen[k + 1].way - way > long_bridge) {
            std::size_t end = k + 1;
            while (end + 1 < seen.size() && seen[end + 1].way <= seen[k + 1].way + reach) ++end;
            if (gaps[end] - gaps[low] >= fewest_gaps && is_bent_bridge(seen, k)) return k;
        }
        if (k < sure || gaps[high] - gaps[low] < fewest_gaps) continue;
        const auto far_before = direction(seen, k, way - clear - apart);
        const auto before = direction(seen, k, way - clear);
        const auto behind = direction(seen, k, way + clear);
        const auto far_behind = direction(seen, k, way + clear + apart);
        if (!before || !behind) continue;
        // Near an end the bend of the other side is all there is.
        double bend = 0, sides = 0;
        if (far_before) {
            bend += turn(*far_before, *before) / apart;
            sides += 1;
        }
        if (far_behind) {
            bend += turn(*behind, *far_behind) / apart;
            sides += 1;
        }
        if (sides == 0) continue;
        const double left = turn(*before, *behind) - bend / sides * 2 * clear;
        if (std::abs(left) < unexplained * std::numbers::pi / 180) continue;
        std::size_t last = k;
        while (last > 0 && way - seen[last].way < clear) --last;
        return std::max(last, sure > 0 ? sure - 1 : 0);
    }
    return std::nullopt;
}

std::optional<std::size_t> pattern_change(const std::vector<SeenPoint>& seen) {
    // Own choices, tried on synthetic charts.
    constexpr std::size_t fewest = 4, most = 6;  // dashes on each side that are compared
    constexpr double gap = 3;                    // px without a seen place
    constexpr double other = 1.3;                // times the length from dash to dash
    constexpr double longest = 60;               // px from dash to dash; else it is no pattern
    std::vector<std::size_t> starts;             // of dashes, places in `seen`
    for (std::size_t k = 1; k < seen.size(); ++k) {
        if (seen[k].way - seen[k - 1].way > gap) starts.push_back(k);
    }
    const auto period = [&](std::size_t from, std::size_t to) {  // median, of dashes [from, to)
        std::vector<double> periods;
        for (std::size_t k = from; k < to; ++k) {
            periods.push_back(seen[starts[k + 1]].way - seen[starts[k]].way);
        }
        const auto middle = periods.begin() + static_cast<std::ptrdiff_t>(periods.size() / 2);
        std::ranges::nth_element(periods, middle);
        return *middle;
    };
    std::optional<std::size_t> found;
    double largest = other;
    for (std::size_t k = fewest; k + fewest < starts.size(); ++k) {
        const double before = period(k - std::min(k, most), k);
        const double behind = period(k, std::min(starts.size() - 1, k + most));
        if (std::max(before, behind) > longest) continue;
        const double ratio = std::max(before / behind, behind / before);
        if (ratio <= largest) continue;
        largest = ratio;
        found = starts[k - 1] - 1;
    }
    return found;
}

}  // namespace gapwright
