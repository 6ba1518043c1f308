#include "fit/specimen_spread.hpp"

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

namespace gapwright {
namespace {

// One deviation that may be, with the centre that goes with it.
struct Possibility {
    double weight = 0;  // a logarithm first
    double deviation = 0;
    double centre = 0;
    double variance = 0;  // of a further specimen about the centre
};

constexpr double share_outside = 0.005;  // on either side

std::vector<Possibility> possibilities(std::span<const MeasuredSpecimen> specimens, double expected,
                                       double counts) {
    double most = expected;
    for (const auto& a : specimens) {
        for (const auto& b : specimens) most = std::max(most, std::abs(a.value - b.value));
    }
    constexpr int steps = 200;
    const double from = std::log(expected * 0.02);
    const double to = std::log(most * 30);
    std::vector<Possibility> result;
    for (int k = 0; k <= steps; ++k) {
        Possibility p;
        p.deviation = std::exp(from + (to - from) * k / steps);
        const double square = p.deviation * p.deviation;
        double information = 0;
        double sum = 0;
        for (const auto& s : specimens) {
            const double weight = 1 / (square + s.uncertainty * s.uncertainty);
            information += weight;
            sum += weight * s.value;
            p.weight += 0.5 * std::log(weight);
        }
        p.centre = sum / information;
        p.weight -= 0.5 * std::log(information);
        for (const auto& s : specimens) {
            const double away = s.value - p.centre;
            p.weight -= 0.5 * away * away / (square + s.uncertainty * s.uncertainty);
        }
        // Scaled inverse χ² of the variance, on a grid of its logarithm.
        p.weight -= counts * std::log(p.deviation) + 0.5 * counts * expected * expected / square;
        p.variance = square + 1 / information;
        result.push_back(p);
    }
    double largest = result.front().weight;
    for (const auto& p : result) largest = std::max(largest, p.weight);
    double total = 0;
    for (auto& p : result) total += p.weight = std::exp(p.weight - largest);
    for (auto& p : result) p.weight /= total;
    return result;
}

// The share of further specimens that lie below.
double share_below(const std::vector<Possibility>& all, double value) {
    double share = 0;
    for (const auto& p : all) {
        share += p.weight * 0.5 * std::erfc((p.centre - value) / std::sqrt(2 * p.variance));
    }
    return share;
}

double quantile(const std::vector<Possibility>& all, double wanted, double low, double high) {
    for (int turn = 0; turn < 100; ++turn) {
        const double middle = 0.5 * (low + high);
        (share_below(all, middle) < wanted ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

}  // namespace

SpecimenSpread spread_of_specimens(std::span<const MeasuredSpecimen> specimens, double expected,
                                   double counts) {
    const auto all = possibilities(specimens, expected, counts);
    SpecimenSpread spread;
    double furthest = 0;
    double log_deviation = 0;
    for (const auto& p : all) {
        spread.centre += p.weight * p.centre;
        log_deviation += p.weight * std::log(p.deviation);
        furthest = std::max(furthest, std::sqrt(p.variance));
    }
    spread.deviation = std::exp(log_deviation);
    const double reach = 20 * furthest;
    spread.lowest = quantile(all, share_outside, spread.centre - reach, spread.centre);
    spread.highest = quantile(all, 1 - share_outside, spread.centre, spread.centre + reach);
    return spread;
}

}  // namespace gapwright
