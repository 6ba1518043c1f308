// Numbers in lanes against the C library's.
#include "lanes/lane_support.hpp"

namespace gapwright {
namespace {

using namespace lane_support;

TEST(LaneNumber, LoadsStoresAndRepeats) {
    Row different;
    for (std::size_t i = 0; i < L::width; ++i) different[i] = 1.5 - 3.0 * static_cast<double>(i);
    EXPECT_EQ(row(row_of(different)), different);
    EXPECT_EQ(numbers(L(3.25)), (Pair{3.25, 3.25}));
}

TEST(LaneNumber, Arithmetic) {
    const auto values = both(decades(-30, 30, true), {0.0, 1.0, -1.0, 1e300, -1e-300});
    std::mt19937 random(1);
    const auto any_row = [&] {
        Row numbers;
        for (double& x : numbers) x = values[random() % values.size()];
        return numbers;
    };
    for (int k = 0; k < 1000; ++k) {
        const Row a = any_row();
        const Row b = any_row();
        const Row c = any_row();
        const double d = values[random() % values.size()];
        const L la = row_of(a);
        const L lb = row_of(b);
        const auto expect_row = [&](const L& actual, auto expected, const std::string& what) {
            const Row all = row(actual);
            for (std::size_t i = 0; i < L::width; ++i) {
                // Rounded in one way only (IEEE 754).
                expect_same(all[i], expected(a[i], b[i]), 0, what);
            }
        };
        expect_row(la + lb, [](double x, double y) { return x + y; }, "a + b");
        expect_row(la - lb, [](double x, double y) { return x - y; }, "a - b");
        expect_row(la * lb, [](double x, double y) { return x * y; }, "a * b");
        expect_row(la / lb, [](double x, double y) { return x / y; }, "a / b");
        expect_row(-la, [](double x, double) { return -x; }, "-a");
        expect_row(la + d, [d](double x, double) { return x + d; }, "a + d");
        expect_row(d + la, [d](double x, double) { return d + x; }, "d + a");
        expect_row(la - d, [d](double x, double) { return x - d; }, "a - d");
        expect_row(d - la, [d](double x, double) { return d - x; }, "d - a");
        expect_row(la * d, [d](double x, double) { return x * d; }, "a * d");
        expect_row(d * la, [d](double x, double) { return d * x; }, "d * a");
        expect_row(la / d, [d](double x, double) { return x / d; }, "a / d");
        expect_row(d / la, [d](double x, double) { return d / x; }, "d / a");
        const Row without = row(minus_product(la, lb, row_of(c)));
        for (std::size_t i = 0; i < L::width; ++i) {
            // Fused or not: within the rounding of the product.
            const double expected = a[i] - b[i] * c[i];
            if (std::isinf(expected)) {
                EXPECT_EQ(without[i], expected);
            } else {
                EXPECT_NEAR(without[i], expected, 1e-15 * (std::abs(a[i]) + std::abs(b[i] * c[i])));
            }
        }
    }
}

TEST(LaneNumber, Exponential) {
    const auto arguments = both(both(evenly(-700, 700, 2801), evenly(-2, 2, 999)),
                                both(decades(-20, 0, true), {0.0, exponential_knee, no_number}));
    expect_like_library(
        "exp", arguments, [](const L& x) { return exp(x); }, [](double x) { return std::exp(x); });
    EXPECT_EQ(numbers(exp(L(-infinity)))[0], 0);
    EXPECT_EQ(numbers(exp(L(-1e6)))[0], 0);
    EXPECT_EQ(numbers(exp(L(infinity)))[0], infinity);
}

TEST(LaneNumber, ExponentialLessOne) {
    const auto arguments =
        both(both(evenly(-80, 80, 1601), evenly(-2, 2, 999)),
             both(decades(-20, 1, true), {0.0, -800.0, exponential_knee, no_number}));
    expect_like_library(
        "expm1", arguments, [](const L& x) { return expm1(x); },
        [](double x) { return std::expm1(x); });
}

TEST(LaneNumber, Logarithm) {
    const auto arguments =
        both(both(evenly(0.5, 2, 999), decades(-300, 300, false)), {1.0, 0.0, -1.0, no_number});
    expect_like_library(
        "log", arguments, [](const L& x) { return log(x); }, [](double x) { return std::log(x); });
}

TEST(LaneNumber, LogarithmOfOneAndMore) {
    const auto arguments =
        both(both(evenly(-0.9, 2, 999), decades(-20, 20, false)), {0.0, -1e-9, -0.999, no_number});
    expect_like_library(
        "log1p", arguments, [](const L& x) { return log1p(x); },
        [](double x) { return std::log1p(x); });
}

TEST(LaneNumber, SquareRoot) {
    const auto arguments = both(decades(-300, 300, false), {0.0, 1.0, 2.0, -1.0, no_number});
    expect_like_library(
        "sqrt", arguments, [](const L& x) { return sqrt(x); },
        [](double x) { return std::sqrt(x); });
}

TEST(LaneNumber, HyperbolicTangent) {
    const auto arguments =
        both(both(evenly(-25, 25, 1001), decades(-20, 3, true)), {0.0, no_number});
    expect_like_library(
        "tanh", arguments, [](const L& x) { return tanh(x); },
        [](double x) { return std::tanh(x); });
}

TEST(LaneNumber, Cosine) {
    expect_like_library(
        "cos", both(evenly(-3.2, 3.2, 641), {0.0, 1e-9, no_number}),
        [](const L& x) { return cos(x); }, [](double x) { return std::cos(x); });
}

TEST(LaneNumber, Size) {
    expect_like_library(
        "abs", both(decades(-300, 300, true), {0.0, -0.0, infinity, -infinity, no_number}),
        [](const L& x) { return abs(x); }, [](double x) { return std::abs(x); });
}

TEST(LaneNumber, Power) {
    // Bases and exponents as gammas, shapes and exponents of currents have them.
    for (const double exponent : {0.5, 0.6, 0.7, 0.9, 1.0, 1.5, 2.0, 3.0, -0.5, -1.5}) {
        expect_like_library(
            "pow to " + std::to_string(exponent),
            both(decades(-8, 6, false), {1.0, 0.999999, 1.000001}),
            [&](const L& x) { return pow(x, L(exponent)); },
            [&](double x) { return std::pow(x, exponent); });
    }
    // Exponents that differ by lane.
    const Pair mixed = numbers(pow(lanes({2.0, 0.0}), lanes({0.5, 0.7})));
    EXPECT_NEAR(mixed[0], std::sqrt(2.0), 1e-14);
    EXPECT_EQ(mixed[1], 0);
    EXPECT_EQ(numbers(pow(L(3.0), L(0.0)))[0], 1);
}

TEST(LaneNumber, PowerOfZero) {
    for (const double exponent : {1e-3, 0.5, 0.7, 1.0, 3.0, 0.0, -0.5, -1.5}) {
        const Pair power = numbers(pow(lanes({0.0, 2.0}), L(exponent)));
        EXPECT_EQ(power[0], std::pow(0.0, exponent)) << exponent;
        expect_same(power[1], std::pow(2.0, exponent), 1e-14, "the lane beside");
    }
}

TEST(LaneNumber, MinimumAndMaximum) {
    const std::vector<double> values{-infinity, -2, -1e-300, 0, 1e-300, 3, infinity, no_number};
    for (const double a : values) {
        for (const double b : values) {
            const Pair least = numbers(minimum(lanes({a, b}), lanes({b, a})));
            const Pair most = numbers(maximum(lanes({a, b}), lanes({b, a})));
            // With NaN too: what a test that fails gives.
            expect_same(least[0], minimum(a, b), 0, "minimum");
            expect_same(least[1], minimum(b, a), 0, "minimum");
            expect_same(most[0], maximum(a, b), 0, "maximum");
            expect_same(most[1], maximum(b, a), 0, "maximum");
        }
    }
    EXPECT_EQ(numbers(minimum(lanes({1, 5}), 3.0)), (Pair{1, 3}));
    EXPECT_EQ(numbers(maximum(3.0, lanes({1, 5}))), (Pair{3, 5}));
}

TEST(LaneNumber, Comparisons) {
    const std::vector<double> values{-infinity, -2, 0, 3, infinity, no_number};
    for (const double a : values) {
        for (const double b : values) {
            const L la = lanes({a, 7.0});
            const L lb = lanes({b, 7.0});
            EXPECT_EQ(holds(la < lb)[0], a < b) << a << " " << b;
            EXPECT_EQ(holds(la > lb)[0], a > b) << a << " " << b;
            EXPECT_EQ(holds(la <= lb)[0], a <= b) << a << " " << b;
            EXPECT_FALSE(holds(la < lb)[1]);
            EXPECT_FALSE(holds(la > lb)[1]);
            EXPECT_TRUE(holds(la <= lb)[1]);
        }
    }
    const auto below = lanes({1, 5}) < L(3.0);
    EXPECT_TRUE(holds(below)[0]);
    EXPECT_FALSE(holds(below)[1]);
}

TEST(LaneNumber, ChoosesByLane) {
    const L a = lanes({1, 2});
    const L b = lanes({-1, -2});
    EXPECT_EQ(numbers(choose(lanes({0, 9}) < L(5.0), a, b)), (Pair{1, -2}));
    EXPECT_EQ(numbers(choose(lanes({9, 0}) < L(5.0), a, b)), (Pair{-1, 2}));
    // What is not chosen does no harm.
    EXPECT_EQ(numbers(choose(lanes({9, 0}) < L(5.0), L(no_number), b))[0], -1);
}

TEST(LaneNumber, ChoosesInEveryRegister) {
    Row a;
    for (std::size_t i = 0; i < L::width; ++i) a[i] = i % 3 == 1 ? 9.0 : static_cast<double>(i);
    const Row chosen = row(choose(row_of(a) < L(8.5), row_of(a), L(-1.0)));
    for (std::size_t i = 0; i < L::width; ++i) {
        EXPECT_EQ(chosen[i], a[i] < 8.5 ? a[i] : -1.0) << i;
    }
}

}  // namespace
}  // namespace gapwright
