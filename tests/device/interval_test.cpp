// Intervals and secants hold what they claim to hold.
#include "device/interval.hpp"

#include <gtest/gtest.h>

#include <array>
#include <random>

#include "device/dual.hpp"
#include "device/leakage.hpp"
#include "device/mosfet.hpp"
#include "device/secant.hpp"
#include "device/transistor.hpp"

namespace gapwright {
namespace {

using Wide = long double;

struct Draw {
    std::mt19937_64 random{1};

    double between(double low, double high) {
        return std::uniform_real_distribution(low, high)(random);
    }
    // Numbers of all sizes, of either sign where `low` is below zero.
    double number(double low) {
        const double size = std::exp(between(-40, 40));
        return low < 0 && between(0, 1) < 0.5 ? -size : size;
    }
    Interval about(double x, double low) {
        const double width = between(0, 1) < 0.2 ? 0.0 : std::abs(x) * std::exp(between(-30, 1));
        return {std::max(low, x - width), x + width};
    }
    double inside(const Interval& a) {
        const double x = between(0, 1);
        if (x < 0.2) return a.lower();
        if (x > 0.8) return a.upper();
        return std::clamp(a.lower() + (x - 0.2) / 0.6 * a.width(), a.lower(), a.upper());
    }
};

void expect_holds(const Interval& a, Wide x, const char* what) {
    if (std::isnan(x)) return;
    EXPECT_LE(static_cast<Wide>(a.lower()), x) << what;
    EXPECT_GE(static_cast<Wide>(a.upper()), x) << what;
}

// Against long double, whose own rounding is two thousand times smaller.
TEST(Interval, HoldsEveryResult) {
    Draw draw;
    for (int n = 0; n < 200000; ++n) {
        const Interval a = draw.about(draw.number(-1), -1e300);
        const Interval b = draw.about(draw.number(-1), -1e300);
        const Interval p = draw.about(draw.number(0), 0);
        const Interval small(std::max(-700.0, a.lower()),
                             std::max(-700.0, std::min(a.upper(), 700.0)));
        const Wide x = draw.inside(a);
        const Wide y = draw.inside(b);
        const Wide q = draw.inside(p);
        expect_holds(a + b, x + y, "+");
        expect_holds(a - b, x - y, "-");
        expect_holds(a * b, x * y, "*");
        expect_holds(a / b, x / y, "/");
        expect_holds(-a, -x, "unary -");
        expect_holds(sqrt(p), std::sqrt(q), "sqrt");
        expect_holds(log(p), std::log(q), "log");
        expect_holds(log1p(p), std::log1p(q), "log1p");
        expect_holds(tanh(a), std::tanh(x), "tanh");
        expect_holds(cos(a), std::cos(x), "cos");
        expect_holds(minimum(a, b), std::min(x, y), "minimum");
        expect_holds(maximum(a, b), std::max(x, y), "maximum");
        if (small.lower() <= small.upper() && small.upper() < 700) {
            const Wide e = draw.inside(small);
            expect_holds(exp(small), std::exp(e), "exp");
            expect_holds(expm1(small), std::expm1(e), "expm1");
        }
        const Interval exponent = draw.about(draw.between(-3, 3), -10);
        expect_holds(pow(p, exponent), std::pow(q, static_cast<Wide>(draw.inside(exponent))),
                     "pow");
    }
}

TEST(Interval, RoundsOutwardsByLittle) {
    const Interval third = Interval(1.0) / Interval(3.0);
    EXPECT_LT(third.lower(), third.upper());
    EXPECT_LE(third.width(), 3e-16);
    EXPECT_TRUE(third.contains(1.0 / 3.0));
    EXPECT_LE(exp(Interval(1.0)).width(), 1e-14);
    EXPECT_TRUE((Interval(0.0) * Interval::anything()).nothing());
    EXPECT_FALSE((Interval(1.0) / Interval(-1.0, 1.0)).bounded());
    EXPECT_FALSE((Interval(1e308) * Interval(1e308)).bounded());
    EXPECT_FALSE((Interval::anything() - Interval::anything()).bounded());
}

TEST(Interval, UndecidedChoicesHoldBoth) {
    const Interval low(0, 1);
    const Interval high(2, 3);
    const Interval across(0.5, 2.5);
    EXPECT_EQ(low < high, Truth::yes);
    EXPECT_EQ(low > high, Truth::no);
    EXPECT_EQ(low < across, Truth::undecided);
    const Interval both = choose(low < across, low, high);
    EXPECT_EQ(both.lower(), 0);
    EXPECT_EQ(both.upper(), 3);
    EXPECT_EQ(choose(low < high, low, high).upper(), 1);
    EXPECT_EQ(choose(low > high, low, high).lower(), 2);
}

// A law of two voltages about a point and over a region: values and slopes must hold what doubles
// give anywhere in the region, derivatives by Dual over intervals what Dual gives.
template <class Law>
void expect_law_held(const Law& law, double widest, const char* what) {
    Draw draw;
    for (int n = 0; n < 20000; ++n) {
        const std::array<double, 2> point{draw.between(-2, 2), draw.between(-2, 2)};
        std::array<Interval, 2> region;
        std::array<Secant<2>, 2> secant;
        std::array<Dual<Interval, 2>, 2> dual;
        std::array<double, 2> there{};
        for (std::size_t k = 0; k < 2; ++k) {
            const double from = point[k] + draw.between(-widest, widest / 2);
            region[k] = {from, from + draw.between(0, widest)};
            secant[k] = Secant<2>::variable(point[k], region[k], k);
            dual[k] = Dual<Interval, 2>::variable(region[k], k);
            there[k] = draw.inside(region[k]);
        }
        const auto enclosed = law(secant[0], secant[1]);
        const double at = law(point[0], point[1]);
        const double value = law(there[0], there[1]);
        const double rounding = 1e-13 * (std::abs(at) + std::abs(value)) + 1e-25;
        const auto near = [&](const Interval& a, double x) {
            return a.lower() - rounding <= x && x <= a.upper() + rounding;
        };
        EXPECT_TRUE(near(enclosed.at, at)) << what;
        EXPECT_TRUE(near(enclosed.over, value)) << what;
        Interval moved(at);
        for (std::size_t k = 0; k < 2; ++k) {
            moved = moved + enclosed.slope[k] * (Interval(there[k]) - Interval(point[k]));
        }
        EXPECT_TRUE(near(moved, value))
            << what << ": " << value << " outside " << moved.lower() << " .. " << moved.upper();
        const auto derived = law(dual[0], dual[1]);
        const auto exact =
            law(Dual<double, 2>::variable(there[0], 0), Dual<double, 2>::variable(there[1], 1));
        for (std::size_t k = 0; k < 2; ++k) {
            const double least = 1e-12 * std::abs(exact.slope[k]) + 1e-20;
            EXPECT_LE(derived.slope[k].lower() - least, exact.slope[k]) << what;
            EXPECT_GE(derived.slope[k].upper() + least, exact.slope[k]) << what;
        }
    }
}

// The same law with figures of a number's own kind.
template <class Number>
using Figure =
    std::conditional_t<std::is_same_v<Number, double> || std::is_same_v<Number, Dual<double, 2>>,
                       double, Interval>;

TEST(Secant, HoldsEveryLaw) {
    for (const double widest : {0.01, 0.2, 2.0}) {
        const auto currents = [](const auto& a, const auto& b) {
            using Real = Figure<std::remove_cvref_t<decltype(a)>>;
            const Transistor<Real> card{.transport_current = 1e-14,
                                        .gain = 200.0,
                                        .reverse_gain = 5.0,
                                        .early_voltage = 80.0,
                                        .knee_current = 0.05,
                                        .leak_current = 1e-13,
                                        .leak_ideality = 1.6,
                                        .collector_resistance = 0.0,
                                        .gain_exponent = 1.5};
            return transistor_currents(transistor_at(card, Real(310.0)), a, b);
        };
        expect_law_held([&](const auto& a, const auto& b) { return currents(a, b).collector; },
                        widest, "collector");
        expect_law_held([&](const auto& a, const auto& b) { return currents(a, b).base; }, widest,
                        "base");
        expect_law_held(
            [](const auto& a, const auto& b) {
                using Real = Figure<std::remove_cvref_t<decltype(a)>>;
                const Mosfet<Real> card{.threshold = 0.7,
                                        .threshold_slope = -3e-3,
                                        .transconductance = 0.1,
                                        .slope_factor = 1.4,
                                        .channel_modulation = 0.02};
                return drain_current(mosfet_at(card, Real(310.0)), a, b);
            },
            widest, "drain");
        expect_law_held(
            [](const auto& a, const auto& b) {
                using Real = Figure<std::remove_cvref_t<decltype(a)>>;
                return leakage_current(Real(1e-6), a - b);
            },
            widest, "leakage");
    }
}

}  // namespace
}  // namespace gapwright
