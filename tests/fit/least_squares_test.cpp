// The fit engine on laws small enough for hand arithmetic.
#include "fit/least_squares.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace gapwright {
namespace {

constexpr std::array x_of_line = {1.0, 2.0, 3.0, 4.0, 5.0, 6.0};
constexpr std::array y_of_line = {2.1, 3.9, 6.2, 7.8, 10.1, 11.9};

// y = a + b·x, each point with uncertainty 1.
FitProblem line_through(std::vector<double> x, std::vector<double> y) {
    FitProblem problem;
    problem.parameters = {{.name = "a", .start = 1}, {.name = "b", .start = 1}};
    problem.points = x.size();
    problem.misfit = [x = std::move(x), y = std::move(y)](std::size_t k, std::span<const double> p,
                                                          double& misfit,
                                                          std::span<double> slopes) {
        misfit = p[0] + p[1] * x[k] - y[k];
        if (!slopes.empty()) {
            slopes[0] = 1;
            slopes[1] = x[k];
        }
        return true;
    };
    return problem;
}

FitProblem line() {
    return line_through({x_of_line.begin(), x_of_line.end()}, {y_of_line.begin(), y_of_line.end()});
}

// One number, read so many times.
FitProblem readings(FitParameter parameter, std::vector<double> values) {
    FitProblem problem;
    problem.parameters = {std::move(parameter)};
    problem.points = values.size();
    problem.misfit = [values = std::move(values)](std::size_t k, std::span<const double> p,
                                                  double& misfit, std::span<double> slopes) {
        misfit = p[0] - values[k];
        if (!slopes.empty()) slopes[0] = 1;
        return true;
    };
    return problem;
}

// x̄ = 3.5, ȳ = 7, Σ(x−x̄)² = 17.5, Σ(x−x̄)y = 34.6: b = 34.6/17.5, a = 7 − 3.5·b.
constexpr double slope = 34.6 / 17.5;
constexpr double intercept = 7 - 3.5 * slope;
constexpr double student_4 = 2.776445;  // Student's t, 0.975, 4 degrees of freedom; any table

double residual_sum() {
    double sum = 0;
    for (std::size_t k = 0; k < x_of_line.size(); ++k) {
        sum += std::pow(y_of_line[k] - intercept - slope * x_of_line[k], 2);
    }
    return sum;
}

TEST(LeastSquares, LineIsTheClosedFormWithStudentsInterval) {
    const auto fit = fit_least_squares(line());
    ASSERT_TRUE(fit) << fit.error().message;
    const auto& a = fit->parameters[0];
    const auto& b = fit->parameters[1];
    EXPECT_NEAR(a.value, intercept, 1e-9);
    EXPECT_NEAR(b.value, slope, 1e-9);
    EXPECT_NEAR(fit->sum_of_squares, residual_sum(), 1e-9);
    const double noise = std::sqrt(residual_sum() / 4);
    EXPECT_NEAR(fit->freedom, 4, 1e-9);
    EXPECT_NEAR(fit->noise, noise, 1e-3 * noise);
    const double of_slope = noise / std::sqrt(17.5);
    const double of_intercept = noise * std::sqrt(1.0 / 6 + 3.5 * 3.5 / 17.5);
    EXPECT_NEAR(b.uncertainty, of_slope, 2e-3 * of_slope);
    EXPECT_NEAR(a.uncertainty, of_intercept, 2e-3 * of_intercept);
    EXPECT_NEAR(b.highest - slope, student_4 * of_slope, 0.01 * student_4 * of_slope);
    EXPECT_NEAR(slope - b.lowest, student_4 * of_slope, 0.01 * student_4 * of_slope);
    EXPECT_NEAR(a.highest - intercept, student_4 * of_intercept, 0.01 * student_4 * of_intercept);
    EXPECT_DOUBLE_EQ(b.told, 1) << "nothing was known beforehand";
}

TEST(LeastSquares, EstimatesOfALineAreCorrelatedAsTheClosedFormSays) {
    const auto fit = fit_least_squares(line());
    ASSERT_TRUE(fit);
    ASSERT_EQ(fit->covariance95.size(), 4U);
    const auto& c = fit->covariance95;
    const double expected = -3.5 / std::sqrt(91.0 / 6);  // −x̄/√(mean of x²)
    EXPECT_NEAR(c[1] / std::sqrt(c[0] * c[3]), expected, 1e-6);
    EXPECT_NEAR(c[2], c[1], 1e-12 * std::abs(c[1]));
}

TEST(LeastSquares, BoundsAreKept) {
    const auto fit = fit_least_squares(readings({.start = 1, .highest = 2}, {2.9, 3.0, 3.1}));
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->parameters[0].value, 2, 1e-6);
    EXPECT_LE(fit->parameters[0].highest, 2 + 1e-9);
    const auto above = fit_least_squares(readings({.start = 5, .lowest = 4}, {2.9, 3.0, 3.1}));
    ASSERT_TRUE(above);
    EXPECT_NEAR(above->parameters[0].value, 4, 1e-6);
    EXPECT_GE(above->parameters[0].lowest, 4 - 1e-9);
}

TEST(LeastSquares, RobustFitIsHardlyMovedByAStrayAndNamesIt) {
    std::vector<double> x;
    std::vector<double> y;
    for (int k = 0; k < 20; ++k) {
        x.push_back(k);
        y.push_back(3 + 2 * k + (k % 2 == 0 ? 0.1 : -0.1));
    }
    y[17] += 50;
    const auto plain = fit_least_squares(line_through(x, y));
    const auto robust = fit_least_squares(line_through(x, y), {.robust = true});
    ASSERT_TRUE(plain && robust);
    EXPECT_NEAR(robust->parameters[1].value, 2, 0.02);
    EXPECT_GT(std::abs(plain->parameters[1].value - 2), 0.2) << "it does pull where it may";
    ASSERT_EQ(robust->strays.size(), 1U);
    EXPECT_EQ(robust->strays[0], 17U);
}

TEST(LeastSquares, PointsThatSayNothingLeaveWhatWasKnown) {
    FitProblem problem;
    problem.parameters = {{.start = 5, .doubt = 0.5}};
    problem.points = 3;
    problem.misfit = [](std::size_t, std::span<const double>, double& misfit,
                        std::span<double> slopes) {
        misfit = 0.5;
        if (!slopes.empty()) slopes[0] = 0;
        return true;
    };
    // (points trusted so far that their noise counts as known)
    const auto fit = fit_least_squares(problem, {.trust = 1e6});
    ASSERT_TRUE(fit) << fit.error().message;
    const auto& p = fit->parameters[0];
    EXPECT_NEAR(p.value, 5, 1e-6);
    EXPECT_NEAR(p.told, 0, 1e-6);
    EXPECT_NEAR(p.uncertainty, 0.5, 1e-6);
    EXPECT_NEAR(p.highest, 5 + 1.959964 * 0.5, 0.02);
    EXPECT_NEAR(p.lowest, 5 - 1.959964 * 0.5, 0.02);
}

// What was known, about 0 within 2, and four readings of 1 within 1 each: of precisions 1/4 and 4,
// so at 4/4.25, within √(1/4.25).
TEST(LeastSquares, WhatWasKnownAndPointsWeighAsTheirPrecisions) {
    const auto fit =
        fit_least_squares(readings({.start = 0, .doubt = 2}, {1, 1, 1, 1}), {.trust = 1e9});
    ASSERT_TRUE(fit);
    const auto& p = fit->parameters[0];
    EXPECT_NEAR(p.value, 4 / 4.25, 1e-3);
    EXPECT_NEAR(p.uncertainty, std::sqrt(1 / 4.25), 1e-3);
    EXPECT_NEAR(p.told, 1 - std::sqrt(1 / 4.25) / 2, 1e-3);
}

TEST(LeastSquares, LogarithmicParameterHasARelativeUncertainty) {
    // Readings of ln p: −1, 0, 1 about ln 1e−9.
    const double centre = std::log(1e-9);
    FitProblem problem;
    problem.parameters = {{.start = 1e-6, .lowest = 1e-15, .highest = 1, .logarithmic = true}};
    problem.points = 3;
    problem.misfit = [centre](std::size_t k, std::span<const double> p, double& misfit,
                              std::span<double> slopes) {
        misfit = std::log(p[0]) - centre - (static_cast<double>(k) - 1);
        if (!slopes.empty()) slopes[0] = 1 / p[0];
        return true;
    };
    const auto fit = fit_least_squares(problem);
    ASSERT_TRUE(fit) << fit.error().message;
    const auto& p = fit->parameters[0];
    EXPECT_NEAR(std::log(p.value), centre, 1e-6);
    EXPECT_NEAR(p.uncertainty, 1 / std::sqrt(3.0), 1e-3);  // s = √(2/2) = 1, over √3
    EXPECT_NEAR(std::log(p.highest) - centre, 4.302653 / std::sqrt(3.0), 0.03);  // t, 2 freedoms
    EXPECT_NEAR(centre - std::log(p.lowest), 4.302653 / std::sqrt(3.0), 0.03);
}

TEST(LeastSquares, PointsOnTheLawLeaveNoNoise) {
    const auto fit = fit_least_squares(line_through({0, 1, 2, 3}, {1, 3, 5, 7}));
    ASSERT_TRUE(fit) << fit.error().message;
    EXPECT_NEAR(fit->parameters[0].value, 1, 1e-9);
    EXPECT_NEAR(fit->parameters[1].value, 2, 1e-9);
    EXPECT_LT(fit->noise, 1e-6);
    for (const auto& p : fit->parameters) {
        EXPECT_TRUE(std::isfinite(p.lowest) && std::isfinite(p.highest));
        EXPECT_NEAR(p.highest - p.lowest, 0, 1e-5);
    }
    EXPECT_TRUE(fit->strays.empty());
}

TEST(LeastSquares, LawWithoutAValueForSomeParametersIsSteeredAround) {
    // y = √(p − 1) read as 2: p = 5; below 1 there is no value.
    FitProblem problem;
    problem.parameters = {{.start = 1.01}};
    problem.points = 2;
    problem.misfit = [](std::size_t k, std::span<const double> p, double& misfit,
                        std::span<double> slopes) {
        if (p[0] <= 1) return false;
        misfit = std::sqrt(p[0] - 1) - (k == 0 ? 1.99 : 2.01);
        if (!slopes.empty()) slopes[0] = 0.5 / std::sqrt(p[0] - 1);
        return true;
    };
    const auto fit = fit_least_squares(problem, {.starts = 4});
    ASSERT_TRUE(fit) << fit.error().message;
    EXPECT_NEAR(fit->parameters[0].value, 5, 1e-4);
}

TEST(LeastSquares, NoValueAnywhereIsNoFit) {
    FitProblem problem = readings({.start = 1}, {1, 2});
    problem.misfit = [](std::size_t, std::span<const double>, double&, std::span<double>) {
        return false;
    };
    const auto fit = fit_least_squares(problem, {.starts = 3});
    ASSERT_FALSE(fit);
    EXPECT_FALSE(fit.error().stopped);
    EXPECT_FALSE(fit.error().message.empty());
}

TEST(LeastSquares, StopIsHeard) {
    std::stop_source source;
    auto problem = line();
    problem.misfit = [&source, law = problem.misfit](std::size_t k, std::span<const double> p,
                                                     double& misfit, std::span<double> slopes) {
        source.request_stop();  // as somebody would in the middle
        return law(k, p, misfit, slopes);
    };
    FitOptions options;
    options.stop = source.get_token();
    const auto fit = fit_least_squares(problem, options);
    ASSERT_FALSE(fit);
    EXPECT_TRUE(fit.error().stopped);
}

TEST(LeastSquares, IsTheSameTwice) {
    const FitOptions options{.starts = 5, .robust = true, .seed = 7};
    const auto one = fit_least_squares(line(), options);
    const auto two = fit_least_squares(line(), options);
    ASSERT_TRUE(one && two);
    for (std::size_t k = 0; k < 2; ++k) {
        EXPECT_EQ(one->parameters[k].value, two->parameters[k].value);
        EXPECT_EQ(one->parameters[k].lowest, two->parameters[k].lowest);
        EXPECT_EQ(one->parameters[k].highest, two->parameters[k].highest);
    }
}

// A law that has no value where the first steps lead, one that never has one, one that says nothing
// of a parameter: the solver takes steps back, and ends early.
TEST(LeastSquares, PrintsNothingWhateverHappens) {
    const auto with_law = [](auto law) {
        FitProblem problem;
        problem.parameters = {{.name = "a", .start = 100}, {.name = "b", .start = 1}};
        problem.points = x_of_line.size();
        problem.misfit = law;
        return problem;
    };
    const auto root = [](std::size_t k, std::span<const double> p, double& misfit,
                         std::span<double> slopes) {
        if (p[0] < 0) return false;
        misfit = std::sqrt(p[0]) * x_of_line[k] - x_of_line[k] * 1e-3;
        if (!slopes.empty()) {
            slopes[0] = 0.5 / std::sqrt(p[0]) * x_of_line[k];
            slopes[1] = 0;
        }
        return true;
    };
    const auto nowhere = [](std::size_t, std::span<const double>, double&, std::span<double>) {
        return false;
    };
    const auto not_a_number = [](std::size_t, std::span<const double>, double& misfit,
                                 std::span<double> slopes) {
        misfit = std::nan("");
        for (double& each : slopes) each = std::nan("");
        return true;
    };
    testing::internal::CaptureStdout();
    testing::internal::CaptureStderr();
    const bool found = fit_least_squares(with_law(root), {.starts = 3, .robust = true}).has_value();
    const bool found_nowhere = fit_least_squares(with_law(nowhere)).has_value();
    const bool found_no_number = fit_least_squares(with_law(not_a_number)).has_value();
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
    EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
    EXPECT_TRUE(found);
    EXPECT_FALSE(found_nowhere);
    EXPECT_FALSE(found_no_number);
}

}  // namespace
}  // namespace gapwright
