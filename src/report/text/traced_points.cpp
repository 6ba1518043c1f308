#include "report/text/traced_points.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>
#include "card/points.hpp"
#include "chart/trace_curve.hpp"

namespace gapwright {
namespace {

constexpr std::string_view measured_quantities[] = {
    "forward_voltage", "ctr",        "relative_ctr", "collector_current",
    "dark_current",    "resistance", "rise_time",    "fall_time"};

bool is_measured(const std::string& quantity) {
    return std::ranges::find(measured_quantities, quantity) != std::end(measured_quantities);
}

}  // namespace

std::vector<MeasuredPoint> measured_points(
    const std::vector<TracedPoint>& traced, const std::string& x, const std::string& y,
    const std::map<std::string, double, std::less<>>& settings, int number) {
    const bool upright = is_measured(y) || !is_measured(x);
    std::vector<MeasuredPoint> points;
    for (const TracedPoint& one : traced) {
        const auto share = [&](double of_y, double of_x) {
            const double part = upright ? of_y / std::abs(one.y) : of_x / std::abs(one.x);
            return part >= 0 ? std::clamp(part, 1e-6, 1.0) : 1.0;  // of nothing all is uncertain
        };
        MeasuredPoint point;
        point.values = settings;
        point.values[x] = one.x;
        point.values[y] = one.y;
        point.uncertainty = share(one.error, one.x_error);
        point.shared_uncertainty = share(one.shared_error, one.shared_x_error);
        point.curve = number;
        points.push_back(std::move(point));
    }
    return points;
}

}  // namespace gapwright
