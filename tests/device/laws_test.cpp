// Identities that every device law must keep, over voltages and temperatures.
#include <gtest/gtest.h>

#include "device/dual.hpp"
#include "device/junction.hpp"
#include "device/leakage.hpp"
#include "device/light.hpp"
#include "device/mosfet.hpp"
#include "device/transistor.hpp"

namespace gapwright {
namespace {

const double temperatures[] = {218.15, 248.15, 298.15, 348.15, 398.15};

const Junction<double> led{.saturation_current = 1e-18,
                           .ideality = 2,
                           .series_resistance = 2,
                           .bandgap = 1.9,
                           .temperature_exponent = 3};
const Transistor<double> npn{.transport_current = 1e-14,
                             .gain = 200,
                             .reverse_gain = 4,
                             .early_voltage = 80,
                             .knee_current = 0.2,
                             .leak_current = 1e-13,
                             .leak_ideality = 1.6,
                             .collector_resistance = 1,
                             .gain_exponent = 1.5};
const Mosfet<double> fet{.threshold = 2,
                         .threshold_slope = -4e-3,
                         .transconductance = 0.5,
                         .slope_factor = 1.3,
                         .channel_modulation = 0.01};

// The derivative that Dual gives against a central difference of the same law.
template <class Law>
void expect_slope(const Law& law, double v, double step) {
    const auto dual = law(Dual<double, 1>::variable(v, 0));
    const double difference =
        (law(Dual<double, 1>(v + step)).value - law(Dual<double, 1>(v - step)).value) / (2 * step);
    const double size = std::max(std::abs(dual.slope[0]), 1e-18);
    EXPECT_NEAR(dual.slope[0], difference, 1e-5 * size + 1e-12) << "at " << v;
}

TEST(Junction, PassesThroughItsForwardPoint) {
    for (const double current : {1e-3, 10e-3, 20e-3}) {
        Junction<double> card = led;
        card.saturation_current = saturation_current_through(2.0, current, 2.0, 2.0);
        const auto at = junction_at(card, reference_temperature);
        EXPECT_NEAR(junction_voltage(at, current) + 2.0 * current, 2.0, 1e-12);
        EXPECT_NEAR(junction_current(at, 2.0 - 2.0 * current) / current, 1.0, 1e-11);
    }
}

TEST(Junction, RisesEverywhereAndIsZeroAtRest) {
    for (const double t : temperatures) {
        const auto at = junction_at(led, t);
        EXPECT_EQ(junction_current(at, 0.0), 0.0);
        double last = junction_current(at, -6.0);
        for (double v = -5.9; v < 8; v += 0.05) {
            const double current = junction_current(at, v);
            EXPECT_GE(current, last) << v << " V, " << t << " K";
            last = current;
        }
    }
}

TEST(Junction, SlopesAreDerivatives) {
    for (const double t : temperatures) {
        const auto at = junction_at(led, t);
        for (double v = -2; v < 2.2; v += 0.173) {
            expect_slope([&](const auto& x) { return junction_current(at, x); }, v, 1e-6);
        }
    }
}

TEST(LimitedExponential, GoesOnAsItsTangent) {
    const double h = 1e-6;
    const double below = limited_exponential(exponential_knee - h);
    const double above = limited_exponential(exponential_knee + h);
    const double at = limited_exponential(exponential_knee);
    EXPECT_NEAR((above - at) / h / at, 1.0, 1e-6);
    EXPECT_NEAR((at - below) / h / at, 1.0, 1e-5);
    EXPECT_TRUE(std::isfinite(limited_exponential(1e6)));
    EXPECT_NEAR(limited_exponential_minus_1(1e-12), 1e-12, 1e-24);
}

TEST(Breakdown, PassesThroughItsPointAndRestsAtZero) {
    const auto zener = breakdown_at(5.1, 5e-3, 0.046);
    EXPECT_NEAR(breakdown_current(zener, 5.1), 5e-3, 1e-15);
    EXPECT_EQ(breakdown_current(zener, 0.0), 0.0);
    EXPECT_LT(breakdown_current(zener, 4.0), 1e-12);
}

TEST(Transistor, CurrentsBalanceAndPowerIsTaken) {
    for (const double t : temperatures) {
        const auto at = transistor_at(npn, t);
        for (double be = -1; be <= 0.9; be += 0.1) {
            for (double bc = -20; bc <= 0.9; bc += 0.7) {
                const auto i = transistor_currents(at, be, bc);
                const double power = i.base * be + i.collector * (be - bc);
                EXPECT_GE(power, -1e-15) << be << " " << bc << " " << t;
            }
        }
    }
}

TEST(Transistor, GainAtSmallCurrentsIsBeta) {
    Transistor<double> ideal = npn;
    ideal.leak_current = 0;
    ideal.early_voltage = 1e12;
    ideal.knee_current = 1e9;
    for (const double t : temperatures) {
        const auto i = transistor_currents(transistor_at(ideal, t), 0.55, -5.0);
        const double expected = 200 * std::pow(t / reference_temperature, 1.5);
        const auto at = transistor_at(ideal, t);
        // The reverse diode adds −I_S/β_R to the base current; it is left out of the ratio.
        const double base = i.base + at.collector_diode;
        EXPECT_NEAR(i.collector / base / expected, 1.0, 1e-6);
    }
}

TEST(Transistor, SlopesAreDerivatives) {
    for (const double t : temperatures) {
        const auto at = transistor_at(npn, t);
        for (double be = -0.5; be < 0.85; be += 0.131) {
            for (double bc = -12; bc < 0.8; bc += 1.37) {
                expect_slope(
                    [&](const auto& x) {
                        using V = std::decay_t<decltype(x)>;
                        return transistor_currents(at, x, V(bc)).collector;
                    },
                    be, 1e-6);
                expect_slope(
                    [&](const auto& x) {
                        using V = std::decay_t<decltype(x)>;
                        return transistor_currents(at, V(be), x).base;
                    },
                    bc, 1e-6);
            }
        }
    }
}

TEST(Mosfet, IsZeroWithoutVoltageAndQuadraticWellAboveThreshold) {
    const auto at = mosfet_at(fet, reference_temperature);
    EXPECT_EQ(drain_current(at, 5.0, 0.0), 0.0);
    // Saturated strong inversion: K/(2n)·(v_gs − V_th)²·(1 + λ v_ds), from the same law's limit.
    const double square = 0.5 / (2 * 1.3) * 9.0 * 1.1;
    EXPECT_NEAR(drain_current(at, 5.0, 10.0) / square, 1.0, 1e-9);
    EXPECT_LT(drain_current(at, 0.0, 10.0), 1e-20);
}

TEST(Mosfet, ThresholdMovesWithTemperature) {
    EXPECT_NEAR(mosfet_at(fet, reference_temperature + 50).threshold, 2 - 0.2, 1e-12);
    // Well above threshold the current is that of the moved threshold.
    const double square = 0.5 / (2 * 1.3) * 3.2 * 3.2 * 1.1;
    EXPECT_NEAR(drain_current(mosfet_at(fet, reference_temperature + 50), 5.0, 10.0) / square, 1.0,
                1e-6);
}

// A stated slope is what the voltage at that current does, for slopes that no material's gap gives.
TEST(Junction, FollowsAStatedSlope) {
    for (const double slope : {-4e-3, -2e-3, -1e-3}) {
        for (const double current : {1e-4, 1e-2}) {
            Junction<double> part{.saturation_current = 1e-18,
                                  .ideality = 2,
                                  .series_resistance = 0,
                                  .bandgap = 0,
                                  .temperature_exponent = 3};
            part.bandgap = bandgap_of_slope(part, slope, current);
            EXPECT_NEAR(slope_of_bandgap(part, current), slope, 1e-12);
            const auto volts = [&](double t) {
                return junction_voltage(junction_at(part, t), current);
            };
            const double t = reference_temperature;
            EXPECT_NEAR((volts(t + 0.01) - volts(t - 0.01)) / 0.02, slope, 1e-7);
            // It bends little over what parts live in.
            EXPECT_NEAR((volts(t + 60) - volts(t)) / 60, slope, 0.06e-3);
        }
    }
}

TEST(Mosfet, SlopesAreDerivatives) {
    for (const double t : temperatures) {
        const auto at = mosfet_at(fet, t);
        for (double gs = 0; gs < 6; gs += 0.37) {
            expect_slope(
                [&](const auto& x) {
                    using V = std::decay_t<decltype(x)>;
                    return drain_current(at, V(gs), x);
                },
                0.83, 1e-6);
            expect_slope(
                [&](const auto& x) {
                    using V = std::decay_t<decltype(x)>;
                    return drain_current(at, x, V(0.83));
                },
                gs, 1e-6);
        }
    }
}

TEST(Leakage, IsTheStatedCurrentFromHalfAVoltUpAndNeverDrives) {
    EXPECT_NEAR(leakage_current(1e-6, 0.5), 1e-6, 1e-14);
    EXPECT_NEAR(leakage_current(1e-6, 24.0), 1e-6, 1e-18);
    EXPECT_EQ(leakage_current(1e-6, 0.0), 0.0);
    EXPECT_GE(leakage_current(1e-6, -3.0) * -3.0, 0.0);
}

TEST(Light, TransferFollowsItsFormula) {
    const Transfer<double> t{.photocurrent_ratio = 4.5e-3,
                             .low_knee = 0.6e-3,
                             .high_knee = 0.12,
                             .temperature_coefficient = -0.005,
                             .dark_current = 1e-10};
    const double by_hand =
        4.5e-3 * 5e-3 * (5.0 / 5.6) / (1 + 5.0 / 120) * (1 - 0.005 * 20) * 0.9 + 4e-10;
    EXPECT_NEAR(coupler_photocurrent(t, 5e-3, 318.15, 0.9), by_hand, 1e-15);
    EXPECT_EQ(coupler_photocurrent(t, -5e-3, 298.15, 1.0), 1e-10);
    EXPECT_GE(coupler_photocurrent(t, 5e-3, 600.0, 1.0), 0.0);
}

TEST(Light, LambertianOrderOfSixtyDegreesIsOne) {
    EXPECT_NEAR(lambertian_order(std::numbers::pi / 3), 1.0, 1e-12);
}

TEST(Light, BeamFallsWithTheSquareOfTheDistance) {
    Beam<double> beam{.intensity = 0.4,
                      .half_angle = 0.3,
                      .temperature_coefficient = 0,
                      .distance = 0.01,
                      .angle = 0,
                      .shroud = 0};
    const double near = beam_at_receiver(beam, 0.02, 298.15, 1.0);
    EXPECT_NEAR(near, 0.4 * 0.02 / 1e-4, 1e-9);
    beam.distance = 0.03;
    EXPECT_NEAR(near / beam_at_receiver(beam, 0.02, 298.15, 1.0), 9.0, 1e-9);
    beam.angle = 0.3;
    EXPECT_NEAR(near / beam_at_receiver(beam, 0.02, 298.15, 1.0), 18.0, 1e-9);
}

TEST(Light, GammaIsTheSlopeBetweenTenAndHundredLux) {
    const LightResistor<double> ldr{
        .resistance = 9e3, .illuminance = 10, .gamma = 0.7, .dark_resistance = 1e15};
    const double r10 = 1 / light_conductance(ldr, 10.0);
    const double r100 = 1 / light_conductance(ldr, 100.0);
    EXPECT_NEAR(std::log10(r10 / r100), 0.7, 1e-9);
    EXPECT_NEAR(1 / light_conductance(ldr, 0.0), 1e15, 1);
}

TEST(Light, FourFifthsAreLeftAfterTheStatedLife) {
    const Life<double> life{.to_80_percent = 3.6e8,
                            .at_current = 20e-3,
                            .at_temperature = 298.15,
                            .current_exponent = 1.5,
                            .activation_energy = 0.4,
                            .shape = 0.6};
    const auto left = [&](double age, double amperes, double kelvin) {
        const auto current = [&](std::size_t) { return amperes; };
        return light_left(life, age, wear(life, {}, 1, current), kelvin);
    };
    EXPECT_NEAR(left(3.6e8, 20e-3, 298.15), 0.8, 1e-12);
    EXPECT_EQ(left(0.0, 20e-3, 298.15), 1.0);
    EXPECT_EQ(left(3.6e8, 0.0, 298.15), 1.0);
    EXPECT_LT(left(3.6e8, 20e-3, 330.0), 0.8);
    // By hand: a quarter of the current stretches time by 4^1.5, and b = 0.6.
    EXPECT_NEAR(left(3.6e8, 5e-3, 298.15), std::pow(0.8, std::pow(0.25, 0.9)), 1e-12);
}

// Hand sums of the wear by states: Σ share · (I/I_ref)^p, I_ref = 20 mA.
TEST(Light, WearAddsUpOverTheStates) {
    struct Row {
        const char* name;
        std::vector<double> shares;
        std::vector<double> currents;  // A
        double exponent;
        double wear;
    };
    const Row rows[] = {
        // 1/4 · 1 + 3/4 · 1/2 = 0.625
        {"two states, p = 1", {0.25, 0.75}, {20e-3, 10e-3}, 1, 0.625},
        // (5/20)^1.5 = 1/8; 0.2 · 1 + 0.8 · 1/8 = 0.3
        {"two states, p = 1.5", {0.2, 0.8}, {20e-3, 5e-3}, 1.5, 0.3},
        // (80/20)^1.5 = 8; 0.05 · 8 + 0.6 · 1 + 0.35 · 1/8 = 0.4 + 0.6 + 0.04375
        {"three states", {0.05, 0.6, 0.35}, {80e-3, 20e-3, 5e-3}, 1.5, 1.04375},
        // Half of the time without supply: 0.25 · 1 + 0.25 · 1/8
        {"less than all", {0.25, 0.25}, {20e-3, 5e-3}, 1.5, 0.28125},
        {"never lit", {0, 1}, {20e-3, 0}, 1.5, 0},
        {"always lit", {1, 0}, {20e-3, 80e-3}, 1.5, 1},
        // A current the wrong way lights nothing.
        {"reversed", {0.5, 0.5}, {20e-3, -20e-3}, 1, 0.5},
        // Not known how long in which state: all the time at the largest.
        {"not known", {}, {5e-3, 80e-3, 20e-3}, 1.5, 8},
        {"not known, one", {}, {5e-3}, 1.5, 0.125},
    };
    for (const Row& row : rows) {
        const Life<double> life{3.6e8, 20e-3, 298.15, row.exponent, 0.4, 0.6};
        const auto current = [&](std::size_t s) { return row.currents[s]; };
        const double worn = wear(life, row.shares, row.currents.size(), current);
        EXPECT_NEAR(worn, row.wear, 1e-12) << row.name;
        // The same as always at the current (Σ share · I^p)^{1/p}.
        if (row.shares.empty() || row.wear == 0) continue;
        const double constant = 20e-3 * std::pow(row.wear, 1 / row.exponent);
        const auto always = [&](std::size_t) { return constant; };
        EXPECT_NEAR(light_left(life, 1e8, worn, 310.0),
                    light_left(life, 1e8, wear(life, {}, 1, always), 310.0), 1e-12)
            << row.name;
    }
}

// The largest current of any state for all the time is never less wear than any shares of it.
TEST(Light, NotKnownNeverCountsInFavour) {
    const double currents[] = {3e-3, 11e-3, 0.0};
    const auto current = [&](std::size_t s) { return currents[s]; };
    for (const double exponent : {0.5, 1.0, 1.5, 3.0}) {
        const Life<double> life{3.6e8, 20e-3, 298.15, exponent, 0.4, 0.6};
        const double unknown = wear(life, {}, 3, current);
        for (double first = 0; first <= 1; first += 0.125) {
            for (double second = 0; first + second <= 1; second += 0.125) {
                const double shares[] = {first, second, 1 - first - second};
                EXPECT_LE(wear(life, shares, 3, current), unknown * (1 + 1e-12));
            }
        }
    }
}

}  // namespace
}  // namespace gapwright
