// The density of a fault's specimens and predictions from it, against Gaussians that are known.
#include <gtest/gtest.h>

#include <numeric>

#include "bench/hand_dictionary.hpp"
#include "bench/reasoning/suspicion.hpp"

namespace gapwright {
namespace {

using testing_support::all_read;
using testing_support::hand_dictionary;
using testing_support::HandFault;
using testing_support::meter_off_by;
using testing_support::NormalNumbers;
using testing_support::voltage_at;
using testing_support::voltage_error;
using testing_support::voltage_scale;

double gaussian(double away, double deviation) {
    return std::exp(-0.5 * away * away / deviation / deviation) / deviation /
           std::sqrt(2 * std::numbers::pi);
}

// Specimens of Gaussians that are known: on the scale, so that the rule above holds for them. Two
// thousand of them leave some tenth of a density open two deviations from its middle.
TEST(KernelDensity, KernelEstimateComesNearTheTrueDensity) {
    NormalNumbers normal(11);
    const double a = voltage_scale(2);
    const double b = voltage_scale(2.6);
    HandFault first{"a", 1, {{}}};
    HandFault second{"b", 1, {{}}};
    for (int k = 0; k < 2000; ++k) {
        first.readings[0].push_back(voltage_at(a + 0.1 * normal()));
        second.readings[0].push_back(voltage_at(b + 0.15 * normal()));
    }
    const auto dictionary =
        hand_dictionary({{"", 0, {all_read(1)}}, first, second}, meter_off_by(0.02));
    Suspicion suspicion(dictionary, 0.1);
    for (const double shown : {1.7, 1.9, 2.1, 2.2, 2.3, 2.4, 2.7}) {
        suspicion.weigh({{0, shown}});
        const double e = voltage_error(0.02, shown);
        const double of_a = gaussian(voltage_scale(shown) - a, std::hypot(0.1, e));
        const double of_b = gaussian(voltage_scale(shown) - b, std::hypot(0.15, e));
        const auto& shares = suspicion.of_faults();
        EXPECT_NEAR(shares[1] / (shares[1] + shares[2]), of_a / (of_a + of_b), 0.05) << shown;
    }
}

// A quantity that no meter shows follows from the readings as a regression has it.
TEST(KernelDensity, ExpectationFollowsTheReadings) {
    HandFault good{"", 0, {{}}};
    std::vector<double> quantity;
    for (int k = 0; k < 160; ++k) {
        good.readings[0].push_back(voltage_at(5 + 0.01 * (k - 79.5)));
        quantity.push_back(7 - 2 * 0.01 * (k - 79.5));
    }
    const auto dictionary = hand_dictionary({good}, meter_off_by(0.005));
    Suspicion suspicion(dictionary, 1);
    EXPECT_NEAR(suspicion.expectation(0, quantity), 7, 1e-9);
    for (const double there : {4.4, 4.9, 5.0, 5.5}) {
        suspicion.weigh({{0, voltage_at(there)}});
        EXPECT_NEAR(suspicion.expectation(0, quantity), 7 - 2 * (there - 5), 0.01) << there;
    }
}

// Given x, y of a bivariate Gaussian is one of mean μ_y + c·(x − μ_x) and variance σ_y²(1 − ρ²).
TEST(KernelDensity, PredictionIsTheConditionalGaussian) {
    NormalNumbers normal(5);
    const double sx = 0.2;
    const double sy = 0.15;
    const double rho = 0.8;
    const double mx = voltage_scale(3);
    const double my = voltage_scale(1);
    HandFault good{"", 0, {{}, {}}};
    for (int k = 0; k < 20000; ++k) {
        const double u = normal();
        const double v = normal();
        good.readings[0].push_back(voltage_at(mx + sx * u));
        good.readings[1].push_back(voltage_at(my + sy * (rho * u + std::sqrt(1 - rho * rho) * v)));
    }
    const auto dictionary = hand_dictionary({good}, meter_off_by(0.05));
    Suspicion suspicion(dictionary, 1);
    const auto moments = [&](std::size_t measurement) {
        const Prediction p = suspicion.predict(0, measurement);
        double mean = 0;
        double square = 0;
        for (std::size_t k = 0; k < p.centres.size(); ++k) {
            mean += p.weights[k] * p.centres[k];
            square += p.weights[k] * p.centres[k] * p.centres[k];
        }
        return std::pair{mean, std::sqrt(square - mean * mean + p.deviation * p.deviation)};
    };
    const auto [mean, deviation] = moments(1);  // before anything was read
    EXPECT_NEAR(mean, my, 0.005);
    EXPECT_NEAR(deviation, std::hypot(sy, voltage_error(0.05, 1)), 0.02 * sy);
    for (const double away : {-1.5, 0.0, 1.0}) {
        const double shown = voltage_at(mx + away * sx);
        suspicion.weigh({{0, shown}});
        const double e = voltage_error(0.05, shown);
        const double pull = rho * sx * sy / (sx * sx + e * e);
        const auto [then, left] = moments(1);
        EXPECT_NEAR(then, my + pull * away * sx, 0.012) << away;
        const double variance = sy * sy - pull * rho * sx * sy;
        EXPECT_NEAR(left, std::sqrt(variance + std::pow(voltage_error(0.05, 1), 2)), 0.05 * left);
        const auto weights = suspicion.specimen_weights(0);
        EXPECT_NEAR(std::accumulate(weights.begin(), weights.end(), 0.0), 1, 1e-9);
    }
}

}  // namespace
}  // namespace gapwright
