// Designs whose values are published, each with its source: what `design` finds in their place
// holds the published value in its window, and takes it or one within a step of E12, or says why
// not.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "design/design.hpp"
#include "proof/proof.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

const ChosenValue& value_of(const Answer& answer, const std::string& part) {
    return *std::ranges::find(answer.values, part, &ChosenValue::part);
}

Design designed(const std::string& text) {
    auto design = design_of(std::make_shared<const SourceText>("worked.link.toml", text),
                            PROJECT_FOLDER "/examples/clock-tower", {.samples = 1000});
    if (!design) throw std::runtime_error(design.error().message);
    return std::move(*design);
}

void expect_published(const Answer& answer, const std::string& part, double published) {
    const ChosenValue& chosen = value_of(answer, part);
    ASSERT_TRUE(chosen.window);
    EXPECT_LE(chosen.window->holds_from, published) << part;
    EXPECT_GE(chosen.window->holds_to, published) << part;
}

double steps_of_e12(double a, double b) {
    return std::abs(std::log10(a / b)) * 12;
}

// IEC 63035 (MIDI 1.0, electrical specification): a current loop of 5 mA from 5 V through 220 Ω on
// either side of the sender and 220 Ω at the receiver's coupler, to which at most 5 mA are to be
// enough; figures from memory.
TEST(WorkedDesigns, TheReceiverOfACurrentLoopGetsItsResistor) {
    const Design design = designed(R"(title = "Loop"
[surroundings]
temperature = "0 .. 40 °C"
[input]
supply = "5 V ± 5 %"
paths = ["supply > R1 > R3 > U1 > R2 > S1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R4 > data", "data > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "220 Ω ± 5 %" }
R2 = { kind = "resistor", value = "220 Ω ± 5 %" }
R3 = { kind = "resistor", value = "choose" }
U1 = { card = "four-pin-coupler-b" }
R4 = { kind = "resistor", value = "4.7 kΩ ± 5 %" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
current = "U1"
at_least = "4 mA"
at_most = "7.5 mA"
[[promise]]
state = "on"
voltage = "data"
at_most = "0.8 V"
)");
    const Answer& answer = design.answers.front();
    expect_published(answer, "R3", 220);
    // The next value of E12 is 270 Ω: preferred values are rounded.
    EXPECT_LE(steps_of_e12(value_of(answer, "R3").value.nominal, 220), steps_of_e12(270, 220));
}

// A saturated switch: a tenth of the collector current into the base, R = (V − V_BE)/(I_C/10)
// (Horowitz & Hill, The Art of Electronics, 3rd ed. 2015, section 2.2.1: ten times the least base
// current); a relay of 200 Ω at 12 V takes 60 mA, so 11.1 V / 6 mA = 1.85 kΩ; common practice goes
// to a twentieth, 3.7 kΩ.
TEST(WorkedDesigns, ASwitchTransistorBehindACouplerGetsItsBaseResistor) {
    const Design design = designed(R"(title = "Switch"
[surroundings]
temperature = "0 .. 40 °C"
[input]
supply = "5 V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "12 V ± 5 %"
paths = ["supply > R2 > U1 > Q1.base", "Q1.base > R3 > return", "supply > K1 > coil > Q1 > return", "coil > D1 > supply"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "270 Ω ± 5 %" }
U1 = { card = "four-pin-coupler-c" }
R2 = { kind = "resistor", value = "choose" }
R3 = { kind = "resistor", value = "10 kΩ ± 5 %" }
Q1 = { card = "npn-medium" }
K1 = { kind = "coil", resistance = "200 Ω ± 10 %", pull_in = "8.4 V", drop_out = "1.2 V" }
D1 = { card = "rectifier-diode" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = ["supply", "coil"]
side = "output"
at_least = "8.4 V"
[[promise]]
state = "off"
voltage = ["supply", "coil"]
side = "output"
at_most = "1.2 V"
)");
    const Answer& answer = design.answers.front();
    expect_published(answer, "R2", 1850);
    const double ohms = value_of(answer, "R2").value.nominal;
    EXPECT_GE(ohms, 1850 / std::pow(10, 1.0 / 12));
    EXPECT_LE(ohms, 3700 * std::pow(10, 1.0 / 12));
}

// A divider with a resistance that changes from R_light to R_dark swings most with the resistor at
// their geometric mean, √(R_light·R_dark) (follows from d/dR of the swing; common practice).
TEST(WorkedDesigns, ALightDependentResistorGetsADividerAtTheGeometricMean) {
    const Design design = designed(R"(title = "Divider"
[surroundings]
temperature = "25 °C"
[input]
supply = "5 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > data", "data > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "330 Ω ± 5 %" }
U1 = { kind = "pair", emitter = "white-lamp-led", receiver = "ldr-5mm", distance = "20 mm", shroud = "100 %" }
R2 = { kind = "resistor", value = "choose" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = "data"
at_most = "1.5 V"
[[promise]]
state = "off"
voltage = "data"
at_least = "3.5 V"
)");
    const Answer& answer = design.answers.front();
    const auto& states = answer.proof->states;
    const auto at = [](const auto& list, const std::string& name) {
        return std::ranges::find(list, name, [](const auto& one) { return one.first; })->second;
    };
    // The two resistances, from the circuit itself at the value taken.
    const auto ohms = [&](std::size_t state) {
        return at(states[state].voltages, "output.data") / at(states[state].currents, "R2");
    };
    const double mean = std::sqrt(ohms(0) * ohms(1));
    expect_published(answer, "R2", mean);
}

}  // namespace
}  // namespace gapwright
