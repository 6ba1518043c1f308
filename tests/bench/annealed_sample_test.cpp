// Samples that agree with observations against posteriors in closed form.
#include "bench/reasoning/annealed_sample.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace gapwright {
namespace {

using Rows = std::vector<std::vector<double>>;

// The misses of one observation: a function of a sample's first two values, in its error.
template <class Observed>
auto misses_of(const Observed& observed) {
    return [observed](const Rows& rows) {
        std::vector<double> result;
        for (std::size_t k = 0; k < rows.front().size(); ++k) {
            const double away = observed(rows.front()[k], rows.back()[k]);
            result.push_back(away * away);
        }
        return result;
    };
}

double deviation(const std::vector<double>& values, double mean) {
    double sum = 0;
    for (const double v : values) sum += (v - mean) * (v - mean);
    return std::sqrt(sum / static_cast<double>(values.size()));
}

TEST(AnnealedSample, UniformWithAGaussianObservation) {
    const auto sample =
        annealed_sample({{0, 1}}, misses_of([](double x, double) { return (x - 0.3) / 0.02; }), {});
    ASSERT_TRUE(sample.has_value());
    EXPECT_NEAR(sample->mean(0), 0.3, 0.003);
    EXPECT_NEAR(deviation(sample->values[0], sample->mean(0)), 0.02, 0.002);
    const auto [low, high] = sample->middle(0, 0.95);
    EXPECT_NEAR(low, 0.3 - 1.96 * 0.02, 0.006);
    EXPECT_NEAR(high, 0.3 + 1.96 * 0.02, 0.006);
    EXPECT_EQ(sample->widening, 1);
}

// A Gaussian times a Gaussian: precisions add.
TEST(AnnealedSample, GaussianPrior) {
    const auto normal = [](double x) { return -0.5 * x * x; };
    const auto sample =
        annealed_sample({{-6, 6, normal}}, misses_of([](double x, double) { return x - 1; }), {});
    ASSERT_TRUE(sample.has_value());
    EXPECT_NEAR(sample->mean(0), 0.5, 0.07);
    EXPECT_NEAR(deviation(sample->values[0], sample->mean(0)), std::sqrt(0.5), 0.06);
}

// A sum that is known far better than either term: along it nothing is known, across it all.
TEST(AnnealedSample, FollowsWhatIsKnownOfASumAlone) {
    const auto sample = annealed_sample(
        {{0, 1}, {0, 1}}, misses_of([](double x, double y) { return (x + y - 1) / 0.002; }), {});
    ASSERT_TRUE(sample.has_value());
    EXPECT_NEAR(sample->mean(0), 0.5, 0.05);
    EXPECT_NEAR(deviation(sample->values[0], sample->mean(0)), 1 / std::sqrt(12.0), 0.04);
    std::vector<double> sums;
    for (std::size_t k = 0; k < sample->values[0].size(); ++k) {
        sums.push_back(sample->values[0][k] + sample->values[1][k]);
    }
    EXPECT_NEAR(deviation(sums, 1), 0.002, 0.0004);
}

TEST(AnnealedSample, StaysWithinItsRange) {
    const auto sample =
        annealed_sample({{0, 1}}, misses_of([](double x, double) { return (x - 1) / 0.05; }), {});
    ASSERT_TRUE(sample.has_value());
    for (const double v : sample->values[0]) EXPECT_LE(v, 1);
    // Half a Gaussian: its mean lies √(2/π) of a deviation from its edge.
    EXPECT_NEAR(sample->mean(0), 1 - 0.05 * std::sqrt(2 / 3.14159265), 0.005);
}

TEST(AnnealedSample, NothingWhereNothingCanBe) {
    const auto never = [](const Rows& rows) {
        return std::vector<double>(rows.front().size(), std::numeric_limits<double>::infinity());
    };
    EXPECT_FALSE(annealed_sample({{0, 1}}, never, {}).has_value());
    AnnealingOptions stopped;
    stopped.stop = [] { return true; };
    EXPECT_FALSE(annealed_sample({{0, 1}},
                                 misses_of([](double x, double) { return (x - 0.3) / 0.02; }),
                                 stopped)
                     .has_value());
}

TEST(AnnealedSample, SameSeedSameSamples) {
    const auto misses = misses_of([](double x, double y) { return (x * y - 0.25) / 0.01; });
    const auto a = annealed_sample({{0, 1}, {0, 1}}, misses, {});
    const auto b = annealed_sample({{0, 1}, {0, 1}}, misses, {});
    ASSERT_TRUE(a && b);
    EXPECT_EQ(a->values, b->values);
}

}  // namespace
}  // namespace gapwright
