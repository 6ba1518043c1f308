#include "instrument/reading_step.hpp"

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <numeric>
#include <set>
#include <span>

namespace gapwright {
namespace {

constexpr int finest_place = 12;        // decimals
constexpr double largest_count = 1e15;  // steps in a reading: beyond, doubles do not hold them all
constexpr double rounding = 1e-13;      // of a reading, as doubles and units leave it
constexpr std::size_t enough = 5;       // different readings, to trust what they have in common

bool all_multiples(std::span<const double> readings, double per_step) {
    for (const double reading : readings) {
        const double steps = reading * per_step;
        if (!(std::abs(steps) < largest_count)) return false;
        if (std::abs(steps - std::round(steps)) > rounding * std::abs(steps)) return false;
    }
    return true;
}

}  // namespace

double reading_step(std::span<const double> readings) {
    for (int place = 0; place <= finest_place && !readings.empty(); ++place) {
        const double per_step = std::pow(10.0, place);
        if (!all_multiples(readings, per_step)) continue;
        std::set<std::int64_t> counts;
        for (const double reading : readings) {
            const auto count = static_cast<std::int64_t>(std::round(std::abs(reading) * per_step));
            if (count > 0) counts.insert(count);
        }
        if (counts.empty()) return std::numeric_limits<double>::infinity();
        if (counts.size() < enough) return 1 / per_step;
        std::int64_t common = 0;
        for (const auto count : counts) common = std::gcd(common, count);
        return static_cast<double>(common) / per_step;
    }
    return 0;
}

}  // namespace gapwright
