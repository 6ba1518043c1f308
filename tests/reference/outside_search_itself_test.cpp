// The search from outside, where the answer is known.
#include <gtest/gtest.h>

#include "reference/outside_search.hpp"
#include "support/link_text.hpp"

namespace gapwright::reference {
namespace {

using testing_support::link_from;

// The power in a load behind a resistance is V²/(4R)
// where the load equals it, whatever else varies; and a limit that falls with temperature counts at
// the hot end.
TEST(OutsideSearch, FindsAPeakInsideTheBox) {
    const auto link = link_from(R"([input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "10 V ± 10 %"
paths = ["supply > R2 > x > R3 > return", "supply > R4 > U1 > return"]
[surroundings]
temperature = "0 .. 100 °C"
[parts]
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "1 kΩ ± 5 %" }
R3 = { kind = "resistor", value = "300 .. 9000 Ω" }
R4 = { kind = "resistor", value = "1 kΩ" }
[[promise]]
state = "on"
voltage = "x"
at_least = "1 V"
)");
    ASSERT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit);
    const std::size_t r3 = *link->find_part("R3");
    Aim most{{static_cast<StateIndex>(0), circuit->of(r3, Side::output)->power()}};
    Aim least = most;
    least.least = true;
    Aim hot = most;
    hot.derating = Derating{343.15, 428.15};
    const auto found = worst_from_outside(*circuit, condition_ranges(*link), {most, least, hot},
                                          {.generations = 40, .simplex_steps = 60}, 1);
    const double matched = 11.0 * 11.0 / (4 * 950);
    EXPECT_NEAR(found[0].badness / matched, 1, 1e-6);
    const double at_end = 81.0 * 9000 / ((9000 + 1050.0) * (9000 + 1050.0));
    EXPECT_NEAR(-found[1].badness / at_end, 1, 1e-6);
    EXPECT_NEAR(found[2].badness / (matched * 85 / 55), 1, 1e-6);
}

}  // namespace
}  // namespace gapwright::reference
