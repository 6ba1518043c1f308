// Sums that people have worked out in public and at the bench, through the project's functions.
#include <gtest/gtest.h>

#include <cmath>

#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "proof/worked_steps.hpp"
#include "units/preferred.hpp"

namespace gapwright::reference {
namespace {

// Common practice, no source: what one reckons for LEDs on a 9 V battery.
struct BatterySum {
    std::vector<Drop> drops;
    double wanted;      // A
    double resistance;  // Ω
};
TEST(TradeFacts, SeriesResistorsOnNineVolts) {
    const BatterySum sums[] = {
        {{{"white LED", 3.0}}, 20e-3, 300},
        {{{"LED", 2.0}, {"infrared emitter", 1.2}}, 20e-3, 290},
        {{{"LED", 2.0}, {"infrared emitter", 1.4}}, 20e-3, 280},
        {{{"LED", 2.0}, {"LED", 2.0}}, 20e-3, 250},
    };
    for (const auto& sum : sums) {
        const SeriesSum result = series_resistance(9, sum.drops, sum.wanted);
        EXPECT_NEAR(result.resistance, sum.resistance, 1e-9 * sum.resistance);
    }
}

// Common practice, no source: what then flows. Tolerance: half of the last digit stated.
TEST(TradeFacts, WhatFlowsOnNineVolts) {
    EXPECT_NEAR(series_check(9 - 3.0, 330 + 22).current, 17e-3, 0.5e-3);
    EXPECT_NEAR(series_check(9 - 2.0 - 1.2, 270 + 22).current, 19.86e-3, 0.005e-3);
    EXPECT_NEAR(series_check(9 - 2.0, 70 + 300).current, 18.9e-3, 0.05e-3);
}

// A worked example of one resistor: what is stated follows from the inputs by our steps.
struct Example {
    const char* source;
    double supply;                         // V
    double drop;                           // V
    std::optional<double> ohms;            // given, or
    std::optional<double> wanted;          // A
    double stated;                         // A for given ohms, Ω for a wanted current
    double half_digit;                     // half of the last digit stated
    std::optional<double> inside = {};     // Ω already in the string
    std::optional<double> preferred = {};  // Ω, E24
    std::optional<double> watts = {};      // in the preferred or given resistor
};
const Example examples[] = {
    {"Electronics Stack Exchange, question 102884, emitter", 3.3, 1.2, 1500, {}, 1.4e-3, 0.05e-3},
    {"Electronics Stack Exchange, question 102884, pull-up", 3.3, 0, 30e3, {}, 110e-6, 0.5e-6},
    {"AskElectronics 1miqj6q, an output that does not fall to zero",
     5,
     1.5,
     391,
     {},
     8.95e-3,
     0.005e-3},
    {"Electronics Stack Exchange copy 83725, pull-up", 3.3, 0, 1000, {}, 3.3e-3, 0.05e-3},
    {"Electronics Stack Exchange copy 83725, emitter", 12, 1.7, {}, 22e-3, 468, 0.5},
    {"\"Optocoupler design: why does this circuit work?\"", 5, 1.2, {}, 5e-3, 760, 0.5},
    {"technical note on inputs for 12 V and 24 V, 12 V", 12, 1.5, {}, 12e-3, 613, 0.5, 262, 620},
    {"technical note on inputs for 12 V and 24 V, 24 V", 24, 1.5, {}, 12e-3, 1613, 0.5, 262, 1600},
    {"24 V sensor input exercise", 24, 1.2, {}, 10e-3, 2280, 5, {}, 2200, 0.24},
    // With the mains' peak rounded to 325 V, as the article has it.
    {"zero-crossing article", 325, 2, {}, 2e-3, 161.5e3, 50},
    {"relay chatter note, 120 V", 120, 0, 10e3, {}, 12e-3, 0.5e-3, {}, {}, 1.44},
    {"relay chatter note, 132 V", 132, 0, 10e3, {}, 13e-3, 0.5e-3, {}, {}, 1.74},
};

TEST(PublicExamples, SeriesResistors) {
    for (const auto& example : examples) {
        SCOPED_TRACE(example.source);
        double used = example.ohms.value_or(0);
        if (example.wanted) {
            const auto sum =
                series_resistance(example.supply, {{"emitter", example.drop}}, *example.wanted);
            const double left = sum.resistance - example.inside.value_or(0);
            EXPECT_NEAR(left, example.stated, example.half_digit);
            used = example.preferred.value_or(left);
            if (example.preferred) {
                EXPECT_NEAR(nearest_preferred(left, Series::e24), *example.preferred, 1e-6);
            }
        }
        const auto check = series_check(example.supply - example.drop, used);
        if (example.ohms) {
            EXPECT_NEAR(check.current, example.stated, example.half_digit);
        }
        if (example.watts) {
            EXPECT_NEAR(check.power, *example.watts, 0.005);
        }
    }
}

TEST(PublicExamples, RatingsAndNextValues) {
    // Technical note on inputs for 12 V and 24 V: ½ W is twice what 1.6 kΩ turns into heat.
    const double watts = series_check(24 - 1.5 - 12e-3 * 262, 1600).power;
    EXPECT_LT(watts, 0.5 / 2);
    EXPECT_GT(watts, 0.25 / 2);  // a quarter watt would be short of that
    // Zero-crossing article: the next value above 161.5 kΩ in E12; its heat from the r.m.s.
    EXPECT_NEAR(preferred_neighbours(161.5e3, Series::e12).above, 180e3, 1e-3);
    EXPECT_NEAR(series_check(230, 180e3).power, 0.29, 0.005);
    // Isolator sheet reading: 0.6 pF at 1.6 V/ns, "about 1 mA".
    EXPECT_NEAR(0.6e-12 * 1.6e9, 1e-3, 0.05e-3);
}

// The nominal point of the only state of a coupler's link.
NominalState coupler_point(const std::string& input, const std::string& resistor,
                           const std::string& forward, const std::string& ctr,
                           const std::string& output, const std::string& load) {
    // Without Early effect the collector current is the same at any voltage out of saturation, as
    // these sums take it to be.
    const std::string text =
        "title = \"Example\"\n[input]\nsupply = \"" + input +
        "\"\npaths = [\"supply > S1 > R1 > U1 > return\"]\n[output]\nsupply = \"" + output +
        "\"\npaths = [\"supply > R2 > out\", \"out > U1 > return\", \"out > "
        "R3 > return\"]\n[parts]\nS1 = { kind = \"contact\" }\nR1 = { kind = "
        "\"resistor\", value = \"" +
        resistor + "\" }\nR2 = { kind = \"resistor\", value = \"" + load +
        "\" }\nR3 = { kind = \"resistor\", value = \"1 GΩ\" }\n"
        "U1 = { kind = \"coupler\", emitter = { forward = \"" +
        forward + "\" }, transfer = { ctr = \"" + ctr +
        "\" }, receiver = { early_voltage = \"1 GV\" } }\n[states]\non = { S1 "
        "= \"closed\" }\n";
    const auto link =
        read_link(std::make_shared<const SourceText>("example.link.toml", text), "no-such-folder");
    if (!link) throw std::runtime_error(to_text(link.error()));
    const auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    const auto proof = prove(*link, *circuit, {.nominal_only = true, .temperature = 298.15});
    if (!proof) throw std::runtime_error(proof.error().message);
    return proof->states.at(0);
}
double of(const std::vector<std::pair<std::string, double>>& list, const std::string& name) {
    for (const auto& [key, value] : list) {
        if (key == name) return value;
    }
    throw std::runtime_error("no " + name);
}

struct CouplerExample {
    const char* source;
    const char *input, *resistor, *forward, *ctr, *output, *load;
    double emitter;       // A
    double receiver;      // A
    double emitter_half;  // half of the last digit stated
    double receiver_half;
};
// A coupler solved as a link. Beside the stated digits, 1 %: the contact's 50 mΩ, and V_F and CTR
// hold at the stated test current, which is a rounded one.
const CouplerExample coupler_examples[] = {
    // 476 µA are available; at 5 V through 1 kΩ nothing stops them.
    {"Electronics Stack Exchange, question 102884", "3.3 V", "1.5 kΩ", "1.2 V at 1.4 mA",
     "34 % at 1.4 mA, 5 V", "5 V", "1 kΩ", 1.4e-3, 476e-6, 0.05e-3, 0.5e-6},
    {"AskElectronics 1miqj6q, CTR 60 %", "5 V", "391 Ω", "1.5 V at 8.95 mA", "60 % at 8.95 mA, 5 V",
     "15 V", "2.2 kΩ", 8.95e-3, 5.37e-3, 0.005e-3, 0.005e-3},
    {"AskElectronics 1miqj6q, CTR 40 %", "5 V", "391 Ω", "1.5 V at 8.95 mA", "40 % at 8.95 mA, 5 V",
     "15 V", "2.2 kΩ", 8.95e-3, 3.58e-3, 0.005e-3, 0.005e-3},
    // 22 mA at CTR 15 % give the 3.3 mA that 1 kΩ asks at 3.3 V; shown at 10 V, out of saturation.
    {"Electronics Stack Exchange copy 83725", "12 V", "468 Ω", "1.7 V at 22 mA",
     "15 % at 22 mA, 5 V", "10 V", "1 kΩ", 22e-3, 3.3e-3, 0.5e-3, 0.05e-3},
    {"\"Optocoupler design: why does this circuit work?\"", "5 V", "760 Ω", "1.2 V at 5 mA",
     "120 % at 5 mA, 5 V", "10 V", "680 Ω", 5e-3, 6e-3, 0.05e-3, 0.05e-3},
};

TEST(PublicExamples, CouplersLimitedByTheirTransfer) {
    for (const auto& example : coupler_examples) {
        SCOPED_TRACE(example.source);
        const auto point = coupler_point(example.input, example.resistor, example.forward,
                                         example.ctr, example.output, example.load);
        EXPECT_NEAR(of(point.currents, "U1"), example.emitter,
                    example.emitter_half + 0.01 * example.emitter);
        EXPECT_NEAR(of(point.currents, "U1.receiver"), example.receiver,
                    example.receiver_half + 0.01 * example.receiver);
    }
}

// AskElectronics 1miqj6q: 3.2 V out at CTR 60 %, 7.1 V at 40 %. Tolerance: half of the last digit,
// and 1 % of what the resistor takes (as above).
TEST(PublicExamples, AnOutputThatDoesNotFallToZero) {
    for (const auto& [ctr, stated] :
         {std::pair{"60 % at 8.95 mA, 5 V", 3.2}, std::pair{"40 % at 8.95 mA, 5 V", 7.1}}) {
        const auto point = coupler_point("5 V", "391 Ω", "1.5 V at 8.95 mA", ctr, "15 V", "2.2 kΩ");
        EXPECT_NEAR(of(point.voltages, "output.out"), stated, 0.05 + 0.01 * (15 - stated));
    }
}

// Electronics Stack Exchange, question 102884: 366 µA to spare pull the 30 kΩ all the way down.
TEST(PublicExamples, CurrentToSpareSaturatesTheReceiver) {
    EXPECT_NEAR(476e-6 - series_check(3.3, 30e3).current, 366e-6, 0.5e-6);
    const auto point = coupler_point("3.3 V", "1.5 kΩ", "1.2 V at 1.4 mA", "34 % at 1.4 mA, 5 V",
                                     "3.3 V", "30 kΩ");
    EXPECT_LT(of(point.voltages, "output.out"), 0.3);
}

// Published sums that are wrong: our steps give the right figure.
TEST(WrongSums, ForgottenDropAtTwentyFourVolts) {
    // "24 V at 60 mA = 400 Ω": the LED's drop is forgotten (2 V taken here).
    const auto sum = series_resistance(24, {{"LED", 2.0}}, 60e-3);
    EXPECT_NEAR(sum.resistance, 366.67, 0.01);
    EXPECT_NEAR(series_check(24 - 2.0, 400).current, 55e-3, 1e-6);  // not 60 mA
}
TEST(WrongSums, ForgottenDropAtFiveVolts) {
    // "5 V and 220 Ω = 22 mA": with an emitter of 1.2 V it is 17 mA.
    EXPECT_NEAR(series_check(5 - 1.2, 220).current, 17e-3, 0.5e-3);
    const auto point =
        coupler_point("5 V", "220 Ω", "1.2 V at 17 mA", "100 % at 5 mA, 5 V", "5 V", "1 kΩ");
    EXPECT_NEAR(of(point.currents, "U1"), 17e-3, 0.5e-3);
}
TEST(WrongSums, PowerCountedTwice) {
    // "220 V on 220 kΩ = 440 mW": it is half of that.
    EXPECT_NEAR(series_check(220, 220e3).power, 220e-3, 1e-9);
}

}  // namespace
}  // namespace gapwright::reference
