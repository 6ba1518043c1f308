// How far every spread may be widened before a link falls off a cliff.
#include <string>
#include <vector>

#include "circuit/link_point.hpp"
#include "proof/rest/promise_probe.hpp"
#include "proof/stretch_by_hand.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

// A cliff. A lit coupler takes the base's current away and holds a transistor off; widened, it can
// take no more than its transfer ratio lets it, and the transistor turns on at once. Everything but
// the transfer ratio, R2 and the supply is stated exactly, so that the worst is a corner.
std::string cliff_text() {
    return R"([surroundings]
reserve = "20 %"
[input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = [
  "supply > R2 > held", "held > U1 > return", "held > R3 > Q1.base", "Q1.base > R5 > return",
  "supply > R4 > signal", "signal > Q1 > return",
]
[parts]
R1 = { kind = "resistor", value = "760 Ω" }
R2 = { kind = "resistor", value = "2.2 kΩ ± 5 %" }
R3 = { kind = "resistor", value = "10 kΩ" }
R4 = { kind = "resistor", value = "1 kΩ" }
R5 = { kind = "resistor", value = "100 kΩ" }
[parts.Q1]
kind = "transistor"
gain = 200.0
collector_resistance = "1 Ω"
[parts.U1]
kind = "coupler"
[parts.U1.emitter]
forward = "1.2 V at 5 mA"
bandgap = "1.43 eV"
ideality = 1.6
series_resistance = "1.5 Ω"
[parts.U1.transfer]
photocurrent_ratio = "0.4 % ± 15 %"
low_knee = "0.6 mA"
high_knee = "0.12 A"
temperature_coefficient = "0 /K"
dark_current = "0.1 nA"
[parts.U1.receiver]
gain = 300.0
collector_resistance = "4 Ω"
knee_current = "30 mA"
leak_current = "2e-12 A"
[parts.U1.life]
to_80_percent = "100000 h"
[[promise]]
state = "on"
voltage = "signal"
at_least = "3.5 V"
)";
}

TEST(Stretch, OfACliffIsLittleWhereTheReserveIsMuch) {
    const auto link = testing_support::link_from(cliff_text());
    ASSERT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit);
    std::vector<std::size_t> vary;
    for (std::size_t k = 0; k < circuit->parameters.size(); ++k) {
        if (!circuit->parameters[k].spread.varies()) continue;
        ASSERT_FALSE(circuit->parameters[k].assumed) << circuit->name_of(static_cast<Slot>(k));
        vary.push_back(k);
    }
    ASSERT_EQ(vary.size(), 3U);
    const auto signal = promise_probe(link->promises[0], *circuit);
    const auto holds = [&](double k) {
        for (unsigned corner = 0; corner < 8; ++corner) {
            auto values = circuit->nominal_values();
            for (std::size_t j = 0; j < vary.size(); ++j) {
                const Spread& s = circuit->parameters[vary[j]].spread;
                const double end = corner >> j & 1U ? s.highest : s.lowest;
                values[vary[j]] = s.nominal + k * (end - s.nominal);
            }
            const auto points = solve_link(circuit->circuit, values, Conditions{});
            if (!points || measure(signal, points->front()) < 3.5) return false;
        }
        return true;
    };
    const double by_corners = greatest_stretch(holds);
    const auto proof = stretched_proof(cliff_text());
    const auto& p = proof.promises.at(0);
    expect_stretch(p.stretch, by_corners, "the cliff");
    EXPECT_GT(by_corners, 1);
    EXPECT_LT(by_corners, 1.7);
    EXPECT_GT(reserve_left(p.lowest, 3.5, Sense::at_least), 0.25);
    EXPECT_EQ(p.verdict, Verdict::kept);
}

}  // namespace
}  // namespace gapwright
