#include "population/specimen.hpp"

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <vector>
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "lanes/plan.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "units/quantity.hpp"

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

// The numbers of one specimen of a population.
class Numbers {
  public:
    Numbers(std::uint64_t seed, std::uint64_t specimen)
        : specimen_(mixed(mixed(seed) ^ specimen)) {}

    // Uniform in (0, 1), from the top 53 bits.
    double uniform(std::uint64_t figure) const {
        const std::uint64_t bits = mixed(specimen_ ^ figure);
        return (static_cast<double>(bits >> 11U) + 0.5) * 0x1.0p-53;
    }

  private:
    std::uint64_t specimen_;
};

double drawn_normal(const Spread& spread, double share) {
    static const double inside = std::erf(3.0 / std::numbers::sqrt2);  // P(|z| < 3)
    const double z = std::numbers::sqrt2 * boost::math::erf_inv((2 * share - 1) * inside);
    const double sigma =
        (z < 0 ? spread.nominal - spread.lowest : spread.highest - spread.nominal) / 3.0;
    return spread.nominal + z * sigma;
}

double drawn(const Spread& spread, SpreadLaw law, double share) {
    if (!spread.varies()) return spread.nominal;
    switch (law) {
        case SpreadLaw::normal:
            return drawn_normal(spread, share);
        case SpreadLaw::logarithmic:
            return spread.lowest * std::pow(spread.highest / spread.lowest, share);
        case SpreadLaw::uniform:
            break;
    }
    return spread.lowest + share * (spread.highest - spread.lowest);
}

// Numbers of the draws that are no figure of a part; figures count up from zero.
enum ConditionDraw : std::uint64_t {
    temperature_draw = 1ULL << 40U,
    light_draw,
    age_draw,
};

// A figure that varies, and the number of its draws.
struct Draw {
    Slot slot;
    Spread spread;
    SpreadLaw law;
    std::uint64_t number;
};

std::vector<Draw> draws_of(const LinkCircuit& circuit) {
    std::vector<Draw> draws;
    for (std::size_t k = 0; k < circuit.parameters.size(); ++k) {
        const Parameter& p = circuit.parameters[k];
        if (p.spread.varies()) draws.push_back({static_cast<Slot>(k), p.spread, p.law(), k});
    }
    return draws;
}

Conditions drawn_conditions(const ConditionRanges& ranges, const Numbers& numbers) {
    return {.temperature =
                drawn(ranges.temperature, SpreadLaw::uniform, numbers.uniform(temperature_draw)),
            .light = drawn(ranges.light, SpreadLaw::uniform, numbers.uniform(light_draw)),
            .age = drawn(ranges.age, SpreadLaw::uniform, numbers.uniform(age_draw))};
}

}  // namespace

Specimen SpecimenPlace::get() const {
    Specimen specimen;
    specimen.values.reserve(slots_);
    for (std::size_t k = 0; k < slots_; ++k) specimen.values.push_back(rows_[k * width_]);
    specimen.conditions = {.temperature = rows_[slots_ * width_],
                           .light = rows_[(slots_ + 1) * width_],
                           .age = rows_[(slots_ + 2) * width_]};
    return specimen;
}

ConditionRanges condition_ranges(const Link& link) {
    const Surroundings& s = link.surroundings;
    return {.temperature = s.temperature,
            .light = s.light,
            .age = {.nominal = 0, .lowest = 0, .highest = s.service}};
}

Specimen nominal_specimen(const LinkCircuit& circuit, const ConditionRanges& ranges) {
    const auto middle = [](const Spread& s) { return 0.5 * (s.lowest + s.highest); };
    return {circuit.nominal_values(),
            {.temperature = middle(ranges.temperature), .light = middle(ranges.light), .age = 0}};
}

Specimen draw_specimen(const LinkCircuit& circuit, const ConditionRanges& ranges,
                       std::uint64_t seed, std::uint64_t index) {
    const Numbers numbers(seed, index);
    Specimen specimen = nominal_specimen(circuit, ranges);
    for (const auto& d : draws_of(circuit)) {
        specimen.values[to_index(d.slot)] = drawn(d.spread, d.law, numbers.uniform(d.number));
    }
    specimen.conditions = drawn_conditions(ranges, numbers);
    return specimen;
}

std::vector<FigureRange> figure_ranges(const LinkCircuit& circuit, const ConditionRanges& ranges) {
    std::vector<FigureRange> figures;
    const auto add = [&](std::size_t row, const Spread& spread) {
        if (spread.varies()) figures.push_back({row, spread.lowest, spread.highest});
    };
    const std::size_t slots = circuit.parameters.size();
    for (std::size_t k = 0; k < slots; ++k) add(k, circuit.parameters[k].spread);
    add(slots, ranges.temperature);
    add(slots + 1, ranges.light);
    add(slots + 2, ranges.age);
    return figures;
}

SpecimenSource population_source(const LinkCircuit& circuit, const ConditionRanges& ranges,
                                 std::uint64_t seed, std::size_t count) {
    return {.base = nominal_specimen(circuit, ranges),
            .count = count,
            .write = [draws = draws_of(circuit), ranges, seed](std::size_t specimen,
                                                               SpecimenPlace& place) {
                const Numbers numbers(seed, specimen);
                for (const auto& d : draws) {
                    place.set(d.slot, drawn(d.spread, d.law, numbers.uniform(d.number)));
                }
                place.set(drawn_conditions(ranges, numbers));
            }};
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
