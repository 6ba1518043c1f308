// Laws whose answer is known in closed form, each with its published source.
#include <gtest/gtest.h>

#include <boost/math/special_functions/lambert_w.hpp>
#include <cmath>

#include "circuit/operating_point.hpp"
#include "device/constants.hpp"
#include "device/light.hpp"
#include "reference/second_laws.hpp"

namespace gapwright::reference {
namespace {

constexpr Node ground = Node::side_return;

// A network under construction together with its figures.
struct Bench {
    Network network;
    std::vector<double> values;

    Slot figure(double value) {
        values.push_back(value);
        return static_cast<Slot>(values.size() - 1);
    }
    Node add_node() { return static_cast<Node>(network.nodes++); }
    void source(Node plus, double volts) {
        network.elements.push_back(
            Branch{.from = ground, .to = plus, .voltage = figure(volts), .resistance = {}});
    }
    void resistor(Node from, Node to, double ohms) {
        network.elements.push_back(
            Branch{.from = from, .to = to, .voltage = {}, .resistance = figure(ohms)});
    }
    SidePoint solve(double kelvin) const {
        auto point = operating_point(network, Side::input, values, {.temperature = kelvin}, {});
        if (!point) throw std::runtime_error("not settled");
        return *point;
    }
};

// Source: R. M. Corless et al., "On the Lambert W function", Advances in Computational Mathematics
// 5 (1996); the junction law of W. Shockley, Bell System Technical Journal 28 (1949).
// i R = n V_T·W((I_S R/(n V_T))·e^((V + I_S R)/(n V_T))) − I_S R. Where the argument overflows, w
// follows from its logarithm: w + ln w = L.
double diode_current(double volts, double ohms, double saturation, double scale) {
    const double log_argument =
        std::log(saturation * ohms / scale) + (volts + saturation * ohms) / scale;
    double w;
    if (log_argument < 700) {
        w = boost::math::lambert_w0(std::exp(log_argument));
    } else {
        w = log_argument - std::log(log_argument);
        for (int round = 0; round < 20; ++round) {
            w -= (w + std::log(w) - log_argument) / (1 + 1 / w);
        }
    }
    return w * scale / ohms - saturation;
}

TEST(ClosedForms, DiodeAndResistorFollowLambertsW) {
    int overflowing = 0;
    int points = 0;
    for (const double kelvin : {218.15, 250.0, 298.15, 348.15, 398.15}) {
        for (const double volts : {0.7, 1.2, 2.0, 3.3, 5.0, 9.0, 12.0, 24.0, 48.0}) {
            for (const double ohms : {10.0, 220.0, 1e3, 10e3, 470e3}) {
                for (const double ideality : {1.0, 1.6, 2.0}) {
                    const double card = 1e-14;
                    Bench b;
                    const Node top = b.add_node();
                    const Node anode = b.add_node();
                    b.source(top, volts);
                    b.resistor(top, anode, ohms);
                    b.network.elements.push_back(
                        JunctionElement{.from = anode,
                                        .to = ground,
                                        .card = {.saturation_current = b.figure(card),
                                                 .ideality = b.figure(ideality),
                                                 .series_resistance = b.figure(0),
                                                 .bandgap = b.figure(1.12),
                                                 .temperature_exponent = b.figure(3)},
                                        .forward_voltage = {},
                                        .forward_current = {}});
                    const double scale = ideality * kelvin / charge_over_boltzmann;
                    const double saturation = card * saturation_rise(kelvin, 3, ideality, 1.12);
                    const double expected = diode_current(volts, ohms, saturation, scale);
                    if (volts / scale > 700) ++overflowing;
                    ++points;
                    const SidePoint point = b.solve(kelvin);
                    EXPECT_NEAR(point.currents[2], expected, 1e-9 * expected)
                        << volts << " V, " << ohms << " ohm, " << kelvin << " K, n " << ideality;
                }
            }
        }
    }
    EXPECT_GT(overflowing, 50);  // the form in logarithms was needed
    EXPECT_EQ(points, 675);
}

// An npn without Early effect, high injection, leak or collector resistance, fed by two resistors.
struct IdealTransistor {
    double collector, base, base_emitter, collector_emitter;
};
IdealTransistor ideal_transistor(double collector_ohms, double base_ohms, double gain,
                                 double reverse_gain, double kelvin) {
    constexpr double far_away = 1e15;
    Bench b;
    const Node top = b.add_node();
    const Node collector = b.add_node();
    const Node base = b.add_node();
    b.source(top, 5);
    b.resistor(top, collector, collector_ohms);
    b.resistor(top, base, base_ohms);
    b.network.elements.push_back(TransistorElement{.from = collector,
                                                   .to = ground,
                                                   .base = base,
                                                   .pnp = false,
                                                   .card = {.transport_current = b.figure(1e-14),
                                                            .gain = b.figure(gain),
                                                            .reverse_gain = b.figure(reverse_gain),
                                                            .early_voltage = b.figure(far_away),
                                                            .knee_current = b.figure(far_away),
                                                            .leak_current = b.figure(0),
                                                            .leak_ideality = b.figure(1.6),
                                                            .collector_resistance = b.figure(0),
                                                            .gain_exponent = b.figure(0)},
                                                   .gain = {}});
    const SidePoint point = b.solve(kelvin);
    return {point.currents[3], point.base_currents[3], point.voltage(base),
            point.voltage(collector)};
}

// Source: J. J. Ebers and J. L. Moll, "Large-signal behavior of junction transistors", Proceedings
// of the IRE 42 (1954):
// V_CE,sat = V_T·ln{[1 + (I_C/I_B)(1 − α_R)]/[α_R·(1 − (I_C/I_B)/β)]}.
// The form leaves out the −1 beside each exponential; the smaller one, the base–collector
// junction's, sets the tolerance: a few V_T·e^(−V_BC/V_T), at most 0.2 µV here.
TEST(ClosedForms, SaturationVoltageFollowsEbersAndMoll) {
    for (const double kelvin : {233.15, 298.15, 358.15}) {
        const double thermal = kelvin / charge_over_boltzmann;
        for (const double gain : {100.0, 300.0}) {
            for (const double reverse_gain : {1.0, 4.0, 20.0}) {
                for (const double overdrive : {2.0, 5.0, 20.0}) {
                    const double collector_ohms = 1e3;
                    const double base_ohms = gain * collector_ohms / overdrive * 0.85;
                    const auto q =
                        ideal_transistor(collector_ohms, base_ohms, gain, reverse_gain, kelvin);
                    const double forced = q.collector / q.base;
                    const double alpha = reverse_gain / (1 + reverse_gain);
                    const double expected = thermal * std::log((1 + forced * (1 - alpha)) /
                                                               (alpha * (1 - forced / gain)));
                    const double left_out =
                        std::exp((q.collector_emitter - q.base_emitter) / thermal);
                    EXPECT_LT(4 * thermal * left_out, 0.2e-6);
                    EXPECT_NEAR(q.collector_emitter, expected, 4 * thermal * left_out + 1e-12)
                        << kelvin << " K, gain " << gain << ", " << reverse_gain << ", forced "
                        << forced;
                }
            }
        }
    }
}

// Source: the same, forward active: I_C = I_S·e^(V_BE/V_T), I_B = I_C/β. Left out:
// the −1 beside the exponential and the reverse junction's I_S/β_R, which set the tolerance.
TEST(ClosedForms, ForwardCurrentFollowsTheExponential) {
    for (const double kelvin : {233.15, 298.15, 338.15}) {
        const double transport = 1e-14 * saturation_rise(kelvin, 3, 1, 1.12);
        for (const double base_ohms : {200e3, 1e6, 5e6}) {
            const auto q = ideal_transistor(100, base_ohms, 150, 4, kelvin);
            const double expected =
                transport * std::exp(q.base_emitter * charge_over_boltzmann / kelvin);
            const double left_out = transport * (1.0 / 4 + 1.0 / 150);
            EXPECT_NEAR(q.collector, expected, 1e-9 * expected + left_out) << kelvin << " K";
            EXPECT_NEAR(q.base, expected / 150, 1e-9 * expected / 150 + 1.001 * left_out);
        }
    }
}

// Source: BIPM, SI Brochure, 9th edition (2019), section 2.2: k and e are exact.
TEST(ClosedForms, ConstantsAreThoseOfTheSi) {
    EXPECT_EQ(boltzmann_constant, 1.380649e-23);
    EXPECT_EQ(elementary_charge, 1.602176634e-19);
    EXPECT_EQ(zero_celsius, 273.15);
    EXPECT_EQ(reference_temperature, 25 + 273.15);
    EXPECT_NEAR(thermal_voltage(298.15), 25.6926e-3, 5e-8);
}

// Readings of one light-dependent resistor (common practice, no source): 40 kΩ in a dim room, 4 MΩ
// in a closed hand, 9 MΩ fully covered, 66 Ω under a white LED at contact. Their illuminances were
// not measured. Assumed: 1 to 3 lx in a dim room; 3e4 to 3e5 lx at contact. Covered means no light,
// so 9 MΩ is its dark resistance. Trade's usual γ: 0.5 to 1.0.
TEST(ClosedForms, LightResistorReadingsGiveAUsualGamma) {
    constexpr double dark = 9e6;
    auto lit_part = [](double ohms) { return 1 / (1 / ohms - 1 / dark); };
    for (const double room : {1.0, 2.0, 3.0}) {
        for (const double contact : {3e4, 1e5, 3e5}) {
            const double gamma = std::log(lit_part(40e3) / lit_part(66)) / std::log(contact / room);
            EXPECT_GE(gamma, 0.5) << room << " lx, " << contact << " lx";
            EXPECT_LE(gamma, 1.0) << room << " lx, " << contact << " lx";
            const LightResistor<double> fit{.resistance = lit_part(40e3),
                                            .illuminance = room,
                                            .gamma = gamma,
                                            .dark_resistance = dark};
            auto ohms = [&](double lux) { return 1 / light_conductance(fit, lux); };
            EXPECT_NEAR(ohms(room), 40e3, 1e-9 * 40e3);
            EXPECT_NEAR(ohms(contact), 66, 1e-9 * 66);
            EXPECT_NEAR(ohms(0), dark, 1e-9 * dark);
            // The closed hand lies between covered and dim. The law then says how much of the
            // room's light gets between the fingers: some, but less than a hundredth.
            const double hand = room * std::pow(lit_part(40e3) / lit_part(4e6), 1 / gamma);
            EXPECT_NEAR(ohms(hand), 4e6, 1e-9 * 4e6);
            EXPECT_LT(hand / room, 1e-2);
            EXPECT_GT(hand / room, 1e-6);
        }
    }
    // Without its dark resistance 4 MΩ would be all light: the law would make it of more light.
    const LightResistor<double> no_dark{40e3, 2, 0.6, 1e12};
    EXPECT_LT(light_conductance(no_dark, 0.0), 1 / dark);
}

}  // namespace
}  // namespace gapwright::reference
