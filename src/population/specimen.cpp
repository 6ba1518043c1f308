#include "population/specimen.hpp"

#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>

namespace gapwright {
namespace {

// Splitmix64's mixing function (Steele, Lea & Flood 2014, "Fast splittable pseudorandom number
// generators"): a counter in, well-mixed bits out.
std::uint64_t mixed(std::uint64_t x) {
    x += 0x9e3779b97f4a7c15U;
    x = (x ^ (x >> 30U)) * 0xbf58476d1ce4e5b9U;
    x = (x ^ (x >> 27U)) * 0x94d049bb133111ebU;
    return x ^ (x >> 31U);
}

// Uniform in (0, 1), from the top 53 bits.
double uniform(std::uint64_t seed, std::uint64_t specimen, std::uint64_t figure) {
    const std::uint64_t bits = mixed(mixed(mixed(seed) ^ specimen) ^ figure);
    return (static_cast<double>(bits >> 11U) + 0.5) * 0x1.0p-53;
}

double drawn(const Spread& spread, bool normal, double share) {
    if (!spread.varies()) return spread.nominal;
    if (!normal) return spread.lowest + share * (spread.highest - spread.lowest);
    static const double inside = std::erf(3.0 / std::numbers::sqrt2);  // P(|z| < 3)
    const double z = std::numbers::sqrt2 * boost::math::erf_inv((2 * share - 1) * inside);
    const double sigma =
        (z < 0 ? spread.nominal - spread.lowest : spread.highest - spread.nominal) / 3.0;
    return spread.nominal + z * sigma;
}

// Numbers of the draws that are no figure of a part; figures count up from zero.
enum ConditionDraw : std::uint64_t {
    temperature_draw = 1ULL << 40U,
    light_draw,
    time_on_draw,
};

}  // namespace

ConditionRanges condition_ranges(const Link& link) {
    const Surroundings& s = link.surroundings;
    return {.temperature = s.temperature,
            .light = s.light,
            .time_on = {.nominal = 0, .lowest = 0, .highest = s.service * s.duty}};
}

Specimen nominal_specimen(const LinkCircuit& circuit, const ConditionRanges& ranges) {
    const auto middle = [](const Spread& s) { return 0.5 * (s.lowest + s.highest); };
    return {
        circuit.nominal_values(),
        {.temperature = middle(ranges.temperature), .light = middle(ranges.light), .time_on = 0}};
}

Specimen draw_specimen(const LinkCircuit& circuit, const ConditionRanges& ranges,
                       std::uint64_t seed, std::uint64_t index) {
    Specimen specimen;
    specimen.values.reserve(circuit.parameters.size());
    std::uint64_t figure = 0;
    for (const auto& parameter : circuit.parameters) {
        specimen.values.push_back(
            drawn(parameter.spread, parameter.normal, uniform(seed, index, figure++)));
    }
    const auto condition = [&](const Spread& range, ConditionDraw number) {
        return drawn(range, false, uniform(seed, index, number));
    };
    specimen.conditions = {.temperature = condition(ranges.temperature, temperature_draw),
                           .light = condition(ranges.light, light_draw),
                           .time_on = condition(ranges.time_on, time_on_draw)};
    return specimen;
}

double wilson_low95(std::size_t kept, std::size_t samples) {
    if (samples == 0) return 0;
    constexpr double z = 1.959963984540054;  // two-sided 95 %
    const auto n = static_cast<double>(samples);
    const double share = static_cast<double>(kept) / n;
    const double centre = share + z * z / (2 * n);
    const double half = z * std::sqrt(share * (1 - share) / n + z * z / (4 * n * n));
    return std::max(0.0, (centre - half) / (1 + z * z / n));
}

}  // namespace gapwright
