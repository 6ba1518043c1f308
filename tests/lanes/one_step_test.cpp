// The method in time: its conditions of order (Hairer, Nørsett & Wanner, Solving Ordinary
// Differential Equations I, 2nd ed. 1993, table II.2.1), and that errors fall as they promise.
#include "lanes/one_step.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>

namespace gapwright::one_step {
namespace {

// Σ w_i · f(i).
template <class Weight, class Term>
double sum(const Weight& weight, const Term& term) {
    double total = 0;
    for (std::size_t i = 0; i < stages; ++i) total += weight(i) * term(i);
    return total;
}
double by_row(std::size_t i, double (*term)(std::size_t)) {
    double total = 0;
    for (std::size_t j = 0; j <= i; ++j) total += weights[i][j] * term(j);
    return total;
}
double one(std::size_t) {
    return 1;
}
double c(std::size_t i) {
    return at[i];
}
double c2(std::size_t i) {
    return at[i] * at[i];
}
double ac(std::size_t i) {
    return by_row(i, c);
}
double last(std::size_t i) {
    return weights[stages - 1][i];
}
double embedded(std::size_t i) {
    return last(i) - error[i];
}

TEST(OneStep, StagesLieWhereTheirWeightsSay) {
    for (std::size_t i = 0; i < stages; ++i) EXPECT_NEAR(by_row(i, one), at[i], 1e-15) << i;
    EXPECT_EQ(at[stages - 1], 1);  // stiffly accurate
    for (std::size_t i = 0; i < stages; ++i) EXPECT_EQ(weights[i][i], diagonal);
}

TEST(OneStep, KeepsTheConditionsOfOrderFour) {
    EXPECT_NEAR(sum(last, one), 1, 1e-14);
    EXPECT_NEAR(sum(last, c), 1.0 / 2, 1e-14);
    EXPECT_NEAR(sum(last, c2), 1.0 / 3, 1e-14);
    EXPECT_NEAR(sum(last, ac), 1.0 / 6, 1e-14);
    EXPECT_NEAR(sum(last, [](std::size_t i) { return c2(i) * c(i); }), 1.0 / 4, 1e-14);
    EXPECT_NEAR(sum(last, [](std::size_t i) { return c(i) * ac(i); }), 1.0 / 8, 1e-14);
    EXPECT_NEAR(sum(last, [](std::size_t i) { return by_row(i, c2); }), 1.0 / 12, 1e-14);
    EXPECT_NEAR(sum(last, [](std::size_t i) { return by_row(i, ac); }), 1.0 / 24, 1e-14);
}

TEST(OneStep, ItsEmbeddedMethodIsOfOrderThree) {
    EXPECT_NEAR(sum(embedded, one), 1, 1e-14);
    EXPECT_NEAR(sum(embedded, c), 1.0 / 2, 1e-14);
    EXPECT_NEAR(sum(embedded, c2), 1.0 / 3, 1e-14);
    EXPECT_NEAR(sum(embedded, ac), 1.0 / 6, 1e-14);
    EXPECT_GT(std::abs(sum(embedded, [](std::size_t i) { return c2(i) * c(i); }) - 0.25), 1e-3);
}

// What guesses are made of lies on lines and parabolas.
TEST(OneStep, GuessesKeepWhatIsStraight) {
    for (std::size_t s = 0; s < stages; ++s) {
        double total = guesses[s][0];
        double place = 0;
        for (std::size_t k = 0; k < s; ++k) {
            total += guesses[s][k + 1];
            place += guesses[s][k + 1] * at[k];
        }
        EXPECT_NEAR(total, 1, 1e-14) << s;
        if (s > 0) {
            EXPECT_NEAR(place, at[s], 1e-14) << s;
        }
    }
}

struct Ended {
    double value;
    double error;  // that the embedded method sees in the last step
};

// y′ = −2·t·y² from 1 at 0, whose solution is 1/(1 + t²), by `steps` equal steps to 1.
Ended followed(int steps) {
    const double h = 1.0 / steps;
    double y = 1;
    double seen = 0;
    for (int n = 0; n < steps; ++n) {
        double flows[stages] = {};
        double stage = y;
        for (std::size_t s = 0; s < stages; ++s) {
            double hat = y;
            for (std::size_t j = 0; j < s; ++j) hat += h * weights[s][j] * flows[j];
            const double t = (n + at[s]) * h;
            for (int k = 0; k < 20; ++k) {
                const double f = stage - hat - h * diagonal * -2 * t * stage * stage;
                stage -= f / (1 + h * diagonal * 4 * t * stage);
            }
            flows[s] = (stage - hat) / (h * diagonal);
        }
        seen = 0;
        for (std::size_t s = 0; s < stages; ++s) seen += h * error[s] * flows[s];
        y = stage;
    }
    return {y, std::abs(seen)};
}

TEST(OneStep, ErrorsFallWithTheFourthPowerOfTheStep) {
    double before = 0;
    double before_seen = 0;
    for (const int steps : {10, 20, 40, 80}) {
        const Ended ended = followed(steps);
        const double off = std::abs(ended.value - 0.5);
        if (before > 0) {
            EXPECT_NEAR(std::log2(before / off), 4, 0.35) << steps;
            EXPECT_NEAR(std::log2(before_seen / ended.error), error_order, 0.35) << steps;
        }
        before = off;
        before_seen = ended.error;
    }
}

// y′ = λ·y of any decay: what decays at once is gone after one step (L-stable).
TEST(OneStep, WhatDecaysAtOnceIsGone) {
    for (const double z : {-1e2, -1e4, -1e8}) {
        double flows[stages] = {};
        double stage = 1;
        for (std::size_t s = 0; s < stages; ++s) {
            double hat = 1;
            for (std::size_t j = 0; j < s; ++j) hat += weights[s][j] * flows[j];
            stage = hat / (1 - z * diagonal);
            flows[s] = (stage - hat) / diagonal;
        }
        EXPECT_LE(std::abs(stage), 60 / std::abs(z)) << z;
    }
}

}  // namespace
}  // namespace gapwright::one_step
