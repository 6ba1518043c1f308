// Small links for tests, as texts.
#pragma once

#include <memory>
#include <string>

#include "link/link.hpp"

namespace gapwright::testing_support {

// Reads a link from a text; cards come from the shipped ones.
inline Expected<Link> link_from(const std::string& text) {
    return read_link(std::make_shared<const SourceText>("test.link.toml", text), "no-such-folder");
}

// A valid link: switch, resistor and coupler; pull-up into a logic input. Parts of it are replaced
// by tests to make one mistake at a time.
inline std::string plain_link() {
    return R"(title = "Plain"
[input]
supply = "9 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > signal", "signal > U1 > return", "signal > L1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "1 kΩ ± 5 %", power = "0.25 W" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "10 kΩ ± 5 %" }
L1 = { card = "logic-input-5v" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = "signal"
at_most = "0.8 V"
)";
}

// A coupler of six pins whose base has a resistor to the return, into a logic input.
inline std::string six_pin_link() {
    return R"(title = "Six pins"
[input]
supply = "5 V ± 5 %"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > out", "out > U1 > return", "out > L1 > return", "U1.base > R3 > return"]
[parts]
P1 = { card = "logic-output-5v" }
R1 = { kind = "resistor", value = "510 Ω ± 5 %" }
U1 = { card = "four-pin-coupler-b", package = "6" }
R2 = { kind = "resistor", value = "6.8 kΩ ± 5 %" }
R3 = { kind = "resistor", value = "150 kΩ ± 5 %" }
L1 = { card = "logic-input-5v" }
[states]
on = { P1 = "high" }
off = { P1 = "low" }
[[promise]]
state = "on"
voltage = "out"
at_most = "0.8 V"
)";
}

// A light-dependent resistor whose maker states no limit, and about two watts in it.
inline std::string unrated_link() {
    return R"(title = "Unrated"
[input]
supply = "9 V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "24 V ± 5 %"
paths = ["supply > U1 > R2 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "300 Ω ± 5 %", power = "0.25 W" }
R2 = { kind = "resistor", value = "68 Ω ± 5 %", power = "12 W" }
[parts.U1]
kind = "pair"
emitter = "white-led"
receiver = { kind = "light-dependent resistor", resistance = "68 Ω at 1000 lx", gamma = 0.8 }
distance = "5 mm"
shroud = "100 %"
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
current = "R2"
at_least = "1 mA"
)";
}

// `text` with the first `from` replaced by `to`; the text itself when `from` does not occur.
inline std::string with(std::string text, const std::string& from, const std::string& to) {
    const auto at = text.find(from);
    if (at != std::string::npos) text.replace(at, from.size(), to);
    return text;
}

}  // namespace gapwright::testing_support
