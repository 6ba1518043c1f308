// The device laws in lanes against those in doubles.
#include "lanes/lane_support.hpp"

namespace gapwright {
namespace {

using namespace lane_support;

// Laws: the numbers of a lane must be those of the same law in doubles, to 1e-12 of their size. A
// current may also be off by 1e-12 of `Scales::current` and its slopes by as much of
// `Scales::slope`: where a law is a small difference, as e^x is formed from (e^x − 1) + 1, those
// tell its rounding.
struct Scales {
    double current = 1e-18;
    double slope = 1e-18;
};

void expect_same_law(double actual, double expected, const std::string& what,
                     double scale = Scales{}.current) {
    EXPECT_NEAR(actual, expected, 1e-12 * (std::abs(expected) + scale)) << what;
}

DualDouble variable(double value, std::size_t k) {
    return DualDouble::variable(value, k);
}
DualLanes variable(const Pair& value, std::size_t k) {
    return DualLanes::variable(lanes(value), k);
}

void expect_same_dual(const DualLanes& actual, std::size_t lane, const DualDouble& expected,
                      const std::string& what, const Scales& scales = {}) {
    expect_same_law(numbers(actual.value)[lane], expected.value, what, scales.current);
    for (std::size_t k = 0; k < 2; ++k) {
        expect_same_law(numbers(actual.slope[k])[lane], expected.slope[k],
                        what + ", slope " + std::to_string(k), scales.slope);
    }
}

const std::vector<double>& temperatures() {
    static const std::vector<double> list{coldest_temperature, 263.15, reference_temperature, 330.0,
                                          hottest_temperature};
    return list;
}

std::string at(const std::string& name, const Pair& a, const Pair& b, std::size_t lane) {
    return name + " at " + std::to_string(a[lane]) + ", " + std::to_string(b[lane]);
}

TEST(LaneLaws, Junction) {
    const Junction<double> d{1e-14, 1.6, 0.5, 1.43, 3};
    const Junction<L> l{1e-14, 1.6, 0.5, 1.43, 3};
    for (const double kelvin : temperatures()) {
        const auto dat = junction_at(d, kelvin);
        const auto lat = junction_at(l, L(kelvin));
        expect_same_law(numbers(lat.saturation_current)[1], dat.saturation_current, "I_S");
        expect_same_law(numbers(lat.slope_voltage)[1], dat.slope_voltage, "slope");
        // The same figures on both sides, so that the current alone is compared.
        const Scales scales{dat.saturation_current, dat.saturation_current / dat.slope_voltage};
        const JunctionAt<L> same{dat.saturation_current, dat.slope_voltage};
        for (double v = -6; v < 6; v += 0.0371) {
            const Pair volts{v, 1.1 * v + 0.01};
            const auto current = junction_current(same, variable(volts, 1));
            const L plain = junction_current(same, lanes(volts));
            for (std::size_t i = 0; i < 2; ++i) {
                const std::string what = at("junction", volts, {kelvin, kelvin}, i);
                expect_same_dual(current, i, junction_current(dat, variable(volts[i], 1)), what,
                                 scales);
                expect_same_law(numbers(plain)[i], junction_current(dat, volts[i]), what);
            }
        }
        for (const double amperes : {1e-15, 1e-9, 1e-3, 0.1}) {
            expect_same_law(numbers(junction_voltage(same, L(amperes)))[0],
                            junction_voltage(dat, amperes), "voltage");
        }
    }
    expect_same_law(numbers(saturation_current_through(L(1.2), L(0.01), L(1.6), L(0.5)))[0],
                    saturation_current_through(1.2, 0.01, 1.6, 0.5), "I_S through a point");
}

TEST(LaneLaws, Breakdown) {
    for (const double knee : {2.4, 5.1, 12.0}) {
        const auto d = breakdown_at(knee, 1e-3, 0.04);
        const auto l = breakdown_at(L(knee), L(1e-3), L(0.04));
        for (double v = -2; v < knee + 6; v += 0.0571) {
            const Pair volts{v, v + 0.3};
            const auto current = breakdown_current(l, variable(volts, 0));
            for (std::size_t i = 0; i < 2; ++i) {
                expect_same_dual(current, i, breakdown_current(d, variable(volts[i], 0)),
                                 at("breakdown", volts, {knee, knee}, i));
            }
        }
    }
}

TEST(LaneLaws, Leakage) {
    for (double v = -6; v < 6; v += 0.0371) {
        const Pair volts{v, -0.5 * v + 0.001};
        const auto current = leakage_current(L(1e-6), variable(volts, 0));
        for (std::size_t i = 0; i < 2; ++i) {
            expect_same_law(numbers(current.value)[i], leakage_current(1e-6, volts[i]), "leak");
            // 1 − tanh² loses digits where the leak is full: measured against the slope at zero.
            EXPECT_NEAR(numbers(current.slope[0])[i],
                        leakage_current(1e-6, variable(volts[i], 0)).slope[0], 1e-12 * 1e-6 / 0.05);
        }
    }
}

TEST(LaneLaws, Transistor) {
    const Transistor<double> d{1e-14, 300, 5, 80, 0.2, 2e-13, 1.8, 1, 1.5};
    const Transistor<L> l{1e-14, 300, 5, 80, 0.2, 2e-13, 1.8, 1, 1.5};
    for (const double kelvin : temperatures()) {
        const auto dat = transistor_at(d, kelvin);
        const auto lat = transistor_at(l, L(kelvin));
        expect_same_law(numbers(lat.transport_current)[0], dat.transport_current, "I_S");
        expect_same_law(numbers(lat.leak_current)[0], dat.leak_current, "I_L");
        expect_same_law(numbers(lat.emitter_diode)[0], dat.emitter_diode, "emitter diode");
        const double rest = dat.transport_current + dat.leak_current;
        // Each slope besides against the larger of the two: q_b carries the rounding of the one
        // into the other.
        const auto scales = [&](const DualDouble& current) {
            return Scales{rest, std::max({rest / dat.thermal_voltage, std::abs(current.slope[0]),
                                          std::abs(current.slope[1])})};
        };
        const TransistorAt<L> same{
            dat.thermal_voltage, dat.transport_current,  dat.emitter_diode,
            dat.collector_diode, dat.injection,          dat.inverse_early,
            dat.leak_current,    dat.inverse_leak_slope, dat.inverse_thermal};
        for (double vbe = -5; vbe < 3; vbe += 0.173) {
            for (double vbc = -30; vbc < 2; vbc += 0.379) {
                const Pair be{vbe, vbe + 0.07};
                const Pair bc{vbc, vbc + 0.11};
                const auto lanewise = transistor_currents(same, variable(be, 0), variable(bc, 1));
                for (std::size_t i = 0; i < 2; ++i) {
                    const auto alone =
                        transistor_currents(dat, variable(be[i], 0), variable(bc[i], 1));
                    const std::string what = at("transistor", be, bc, i);
                    expect_same_dual(lanewise.collector, i, alone.collector, what + ", collector",
                                     scales(alone.collector));
                    expect_same_dual(lanewise.base, i, alone.base, what + ", base",
                                     scales(alone.base));
                }
            }
        }
    }
}

TEST(LaneLaws, Mosfet) {
    const auto d = mosfet_at(Mosfet<double>{2.1, -4e-3, 0.05, 1.3, 0.01}, 330.0);
    const auto l = mosfet_at(Mosfet<L>{2.1, -4e-3, 0.05, 1.3, 0.01}, L(330.0));
    for (double vgs = -3; vgs < 10; vgs += 0.271) {
        for (double vds = -10; vds < 20; vds += 0.337) {
            const Pair gs{vgs, vgs + 0.2};
            const Pair ds{vds, vds + 0.15};
            const auto lanewise = drain_current(l, variable(gs, 0), variable(ds, 1));
            for (std::size_t i = 0; i < 2; ++i) {
                expect_same_dual(lanewise, i,
                                 drain_current(d, variable(gs[i], 0), variable(ds[i], 1)),
                                 at("mosfet", gs, ds, i));
            }
        }
    }
}

TEST(LaneLaws, CouplersPhotocurrent) {
    const Transfer<double> d{1.3, 0.6e-3, 0.12, -0.005, 1e-10};
    const Transfer<L> l{1.3, 0.6e-3, 0.12, -0.005, 1e-10};
    for (const double kelvin : temperatures()) {
        for (double amperes = -1e-3; amperes < 50e-3; amperes += 0.31e-3) {
            const Pair current{amperes, 0.3 * amperes};
            const L lanewise = coupler_photocurrent(l, lanes(current), L(kelvin), L(0.83));
            for (std::size_t i = 0; i < 2; ++i) {
                expect_same_law(numbers(lanewise)[i],
                                coupler_photocurrent(d, current[i], kelvin, 0.83),
                                at("photocurrent", current, {kelvin, kelvin}, i));
            }
        }
    }
}

TEST(LaneLaws, LightLeft) {
    const Life<double> d{3.6e8, 20e-3, 298.15, 1.5, 0.4, 0.6};
    const Life<L> l{3.6e8, 20e-3, 298.15, 1.5, 0.4, 0.6};
    for (const double kelvin : temperatures()) {
        for (const double seconds : {0.0, 1.0, 3600.0, 1e6, 1e8, 1e9}) {
            for (const double amperes : {-1e-3, 0.0, 1e-9, 1e-3, 10e-3, 50e-3}) {
                const Pair time{seconds, 1.7 * seconds};
                const Pair current{amperes, 1.3 * amperes};
                for (const auto& shares : {std::vector<double>{}, {0.25, 0.6}}) {
                    const L worn = wear(l, shares, 2, [&](std::size_t s) {
                        return lanes(current) * L(s == 0 ? 1.0 : 0.7);
                    });
                    const L lanewise = light_left(l, lanes(time), worn, L(kelvin));
                    for (std::size_t i = 0; i < 2; ++i) {
                        const double alone = wear(d, shares, 2, [&](std::size_t s) {
                            return current[i] * (s == 0 ? 1.0 : 0.7);
                        });
                        expect_same_law(numbers(lanewise)[i], light_left(d, time[i], alone, kelvin),
                                        at("light left", time, current, i));
                    }
                }
            }
        }
    }
}

// An exponent of zero, which cards may state: even a current of nothing to that power is one.
TEST(LaneLaws, LightLeftWhereCurrentDoesNotMatter) {
    const Life<double> d{3.6e8, 20e-3, 298.15, 0.0, 0.4, 0.6};
    const Life<L> l{3.6e8, 20e-3, 298.15, 0.0, 0.4, 0.6};
    const L worn = wear(l, {}, 1, [](std::size_t) { return lanes({0.0, 10e-3}); });
    EXPECT_EQ(numbers(worn)[0], wear(d, {}, 1, [](std::size_t) { return 0.0; })) << "never on";
    EXPECT_EQ(numbers(worn)[1], wear(d, {}, 1, [](std::size_t) { return 10e-3; })) << "on";
}

TEST(LaneLaws, LightResistorsConductance) {
    const LightResistor<double> d{10e3, 10, 0.7, 1e6};
    const LightResistor<L> l{10e3, 10, 0.7, 1e6};
    for (const double lux : {0.0, 1e-9, 0.01, 1.0, 10.0, 345.0, 1e5}) {
        const Pair light{lux, 2 * lux};
        for (std::size_t i = 0; i < 2; ++i) {
            expect_same_law(numbers(light_conductance(l, lanes(light)))[i],
                            light_conductance(d, light[i]), at("light resistor", light, light, i));
        }
    }
}

TEST(LaneLaws, BeamAtTheReceiver) {
    for (const double angle : {0.0, 0.1, 0.6}) {
        const Beam<double> d{0.8, 0.35, -0.006, 0.05, angle, 0.9};
        const Beam<L> l{0.8, 0.35, -0.006, 0.05, angle, 0.9};
        for (const double amperes : {0.0, 1e-3, 20e-3}) {
            expect_same_law(numbers(beam_at_receiver(l, L(amperes), L(310.0), L(0.9)))[1],
                            beam_at_receiver(d, amperes, 310.0, 0.9), "beam");
        }
    }
}

TEST(LaneLaws, DerivativesOfEveryFunction) {
    for (const double x : {0.02, 0.3, 1.0, 2.7, 40.0}) {
        for (const double y : {0.4, 1.0, 1.9}) {
            const Pair xs{x, 1.5 * x};
            const Pair ys{y, 0.7 * y};
            const DualLanes lx = variable(xs, 0);
            const DualLanes ly = variable(ys, 1);
            for (std::size_t i = 0; i < 2; ++i) {
                const DualDouble dx = variable(xs[i], 0);
                const DualDouble dy = variable(ys[i], 1);
                expect_same_dual(lx + ly, i, dx + dy, "+");
                expect_same_dual(lx - ly, i, dx - dy, "-");
                expect_same_dual(lx * ly, i, dx * dy, "*");
                expect_same_dual(lx / ly, i, dx / dy, "/");
                expect_same_dual(-lx, i, -dx, "sign");
                expect_same_dual(exp(lx), i, exp(dx), "exp");
                expect_same_dual(expm1(lx), i, expm1(dx), "expm1");
                expect_same_dual(log(lx), i, log(dx), "log");
                expect_same_dual(log1p(lx), i, log1p(dx), "log1p");
                expect_same_dual(sqrt(lx), i, sqrt(dx), "sqrt");
                expect_same_dual(pow(lx, ly), i, pow(dx, dy), "pow");
                expect_same_dual(minimum(lx, ly), i, minimum(dx, dy), "minimum");
                expect_same_dual(maximum(lx, ly), i, maximum(dx, dy), "maximum");
                expect_same_dual(limited_exponential(lx * 3.0), i, limited_exponential(dx * 3.0),
                                 "limited_exponential");
            }
        }
    }
    // At zero the derivative is told as zero, in its lane only.
    const DualLanes power = pow(variable(Pair{0.0, 2.0}, 0), DualLanes(L(0.7)));
    expect_same_dual(power, 0, pow(variable(0.0, 0), DualDouble(0.7)), "pow at zero");
    expect_same_dual(power, 1, pow(variable(2.0, 0), DualDouble(0.7)), "pow beside zero");
}

}  // namespace
}  // namespace gapwright
