#include "synthetic_curves.hpp"

#include <fmt/format.h>

#include <cmath>
#include <functional>

namespace gapwright::testing {
namespace {

MadeCurve sample(const MadeAxis& along, double from, double to,
                 const std::function<ChartPoint(double)>& at, std::string label) {
    MadeCurve curve;
    curve.label = std::move(label);
    for (int k = 0; k <= 4000; ++k)
        curve.values.push_back(at(along.value(from + (to - from) * k / 4000)));
    return curve;
}

}  // namespace

double MadeAxis::fraction(double v) const {
    return logarithmic ? std::log(v / from) / std::log(to / from) : (v - from) / (to - from);
}

double MadeAxis::value(double f) const {
    return logarithmic ? from * std::pow(to / from, f) : from + (to - from) * f;
}

double uniform(std::mt19937& random, double from, double to) {
    return from + (to - from) * (static_cast<double>(random()) / 4294967295.0);
}

MadeFamily diode_currents(std::mt19937& random, int count) {
    MadeFamily family{.x = {.from = 0.8, .to = 1.8, .step = 0.2},
                      .y = {.from = 0, .to = 50, .step = 10}};
    const double series = uniform(random, 0.5, 4) * 1e-3;
    for (int k = 0; k < count; ++k) {
        const double threshold = 1.0 + 0.17 * k + uniform(random, 0, 0.05);
        const auto at = [&](double current) {
            return ChartPoint{.x = threshold + 0.05 * std::log(current) + series * current,
                              .y = current};
        };
        family.curves.push_back(
            sample(family.y, 0.006, 0.99, at, fmt::format("Ta={}", 75 - 50 * k)));
    }
    return family;
}

MadeFamily transfer_ratios(std::mt19937& random, int count) {
    MadeFamily family{.x = {.from = 0.1, .to = 100, .logarithmic = true},
                      .y = {.from = 0, .to = 160, .step = 20}};
    const double top = uniform(random, 0.4, 1.1), breadth = uniform(random, 0.5, 0.9);
    for (int k = 0; k < count; ++k) {
        const double height = 145 - 35 * k - uniform(random, 0, 8);
        const auto at = [&](double current) {
            const double d = (std::log10(current) - top) / breadth;
            return ChartPoint{.x = current,
                              .y = height * std::exp(-0.5 * std::pow(std::abs(d), 1.8))};
        };
        family.curves.push_back(sample(family.x, 0.05, 0.93, at, fmt::format("{} V", 10 - 3 * k)));
    }
    return family;
}

MadeFamily receiver_outputs(std::mt19937& random, int count) {
    MadeFamily family{.x = {.from = 0, .to = 10, .step = 1}, .y = {.from = 0, .to = 30, .step = 5}};
    const double knee = uniform(random, 0.15, 0.5), early = uniform(random, 30, 100);
    for (int k = 0; k < count; ++k) {
        const double level = 24.5 - 6.3 * k - uniform(random, 0, 1);
        const auto at = [&](double volts) {
            return ChartPoint{.x = volts,
                              .y = level * (1 - std::exp(-volts / knee)) * (1 + volts / early)};
        };
        family.curves.push_back(
            sample(family.x, 0.002, 0.985, at, fmt::format("IF={}mA", 20 - 5 * k)));
    }
    return family;
}

MadeFamily cell_resistances(std::mt19937& random, int count) {
    MadeFamily family{.x = {.from = 1, .to = 1000, .logarithmic = true},
                      .y = {.from = 0.1, .to = 1000, .logarithmic = true}};
    const double slope = uniform(random, 0.6, 0.85);
    for (int k = 0; k < count; ++k) {
        const double at_one = 300 / std::pow(3.2, k) * uniform(random, 0.9, 1.1);
        const auto at = [&](double lux) {
            return ChartPoint{.x = lux, .y = at_one * std::pow(lux, -slope)};
        };
        family.curves.push_back(sample(family.x, 0.03, 0.97, at, fmt::format("cell {}", k + 1)));
    }
    return family;
}

MadeFamily falling_by_heat(std::mt19937& random, int count) {
    MadeFamily family{.x = {.from = -25, .to = 100, .step = 25},
                      .y = {.from = 0, .to = 1.6, .step = 0.2}};
    for (int k = 0; k < count; ++k) {
        const double level = 1.2 - 0.28 * k + uniform(random, -0.04, 0.04);
        const double fall = uniform(random, 0.003, 0.006);
        const auto at = [&](double heat) {
            return ChartPoint{.x = heat, .y = level * std::exp(-fall * (heat - 25))};
        };
        family.curves.push_back(sample(family.x, 0.0, 1.0, at, fmt::format("{} mA", 5 * (k + 1))));
    }
    return family;
}

MadeFamily crossing_curves(std::mt19937& random, int count) {
    MadeFamily family{.x = {.from = 0, .to = 100, .step = 10},
                      .y = {.from = 0, .to = 10, .step = 1}};
    for (int k = 0; k < count; ++k) {
        const double start = uniform(random, 0.8, 2.0) + 1.1 * (k / 2),
                     bend = uniform(random, -1.2, 1.2);
        const double end = uniform(random, 7.2, 9.2) - 1.1 * (k / 2);
        const auto at = [&](double x) {
            const double f = k % 2 == 0 ? x / 100 : 1 - x / 100;
            return ChartPoint{.x = x,
                              .y = start + (end - start) * f + bend * std::sin(3.14159 * f)};
        };
        family.curves.push_back(sample(family.x, 0.02, 0.98, at, fmt::format("no. {}", k + 1)));
    }
    return family;
}

MadeFamily currents_by_decades(std::mt19937& random, int count) {
    MadeFamily family{.x = {.from = 0.1, .to = 100, .logarithmic = true},
                      .y = {.from = 0.01, .to = 100, .logarithmic = true}};
    const double power = uniform(random, 1.2, 1.7), bow = uniform(random, 5, 30);
    for (int k = 0; k < count; ++k) {
        const double at_one = 2.2 / std::pow(2.7, k) * uniform(random, 0.9, 1.1);
        const auto at = [&](double current) {
            return ChartPoint{
                .x = current,
                .y = at_one * std::pow(current, power) / (1 + std::pow(current / bow, power))};
        };
        family.curves.push_back(
            sample(family.x, 0.06 + 0.05 * k, 0.97, at, fmt::format("{} V", 1 + k)));
    }
    return family;
}

}  // namespace gapwright::testing
