// A link joined anew at random: its nodes must be what was asked for, whatever kinds of parts it
// has.
#include "bench/faults/rejoined.hpp"

#include <gtest/gtest.h>

#include <random>

#include "bench/joined_in_link.hpp"
#include "build/wiring_of_link.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::JoinedInLink;

// Six-pin coupler whose base is used, an input that refers to a base, polarised capacitor, zener;
// transistors that stand mirrored in their paths.
const char* const text = R"(title = "Many kinds"
[input]
supply = "9 V"
paths = ["supply > P1 > R1 > U1 > return", "supply > C1 > return"]
[output]
supply = "12 V"
paths = [
  "supply > Q1 > K1 > return", "Q1.base > R2 > U1 > return", "supply > M1 > out > R4 > return",
  "M1.gate > R3 > return", "out > Z1 > return", "out > Q2 > return", "Q2.base > R5 > return",
  "U1.base > R6 > return", "out > L1 > Q2.base",
]
[parts]
P1 = { card = "logic-output-5v" }
R1 = { kind = "resistor", value = "330 Ω" }
C1 = { kind = "capacitor", value = "10 µF" }
U1 = { kind = "coupler", forward = "1.2 V at 5 mA", ctr = "120 % (80 .. 160 %) at 5 mA, 5 V", package = "6" }
Q1 = { card = "pnp-medium" }
Q2 = { card = "npn-small" }
K1 = { card = "relay-coil-12v" }
R2 = { kind = "resistor", value = "4.7 kΩ" }
R3 = { kind = "resistor", value = "10 kΩ" }
R4 = { kind = "resistor", value = "22 kΩ" }
R5 = { kind = "resistor", value = "10 kΩ" }
R6 = { kind = "resistor", value = "150 kΩ" }
L1 = { card = "logic-input-5v" }
M1 = { kind = "mosfet", channel = "p", threshold = "1.6 V", transconductance = "8 A/V²", slope_factor = 1.3, channel_modulation = "0.01 /V" }
Z1 = { kind = "zener", forward = "0.75 V at 10 mA", zener_voltage = "15 V", zener_current = "5 mA" }
)";

class RejoinedLink : public ::testing::Test {
  protected:
    void SetUp() override {
        auto link = testing_support::link_from(text);
        ASSERT_TRUE(link) << to_text(link.error());
        good_ = *link;
        wiring_ = wiring_of(good_);
        std::size_t alone = wiring_.nodes.size();
        for (const WiringPart& part : wiring_.parts) {
            auto& pins = nodes_.emplace_back();
            for (const WiringPin& pin : part.pins) pins.push_back(pin.node ? *pin.node : alone++);
        }
    }

    void expect_joined(const PinGroups& groups) {
        const Rejoined change = rejoined(good_, wiring_, groups);
        Link link = good_;
        if (change.edit) change.edit(link);
        ASSERT_EQ(JoinedInLink(good_, link, change.bridge).sets(wiring_),
                  in_order(wiring_, groups));
        const auto circuit = build_circuit(link);
        ASSERT_TRUE(circuit);
    }

    Side side_of_node(std::size_t node) const { return wiring_.nodes[node].side; }

    Link good_;
    Wiring wiring_;
    PinGroups nodes_;  // as they should be
};

TEST_F(RejoinedLink, IsAsItWasWhereNothingIsWrong) {
    const Rejoined change = rejoined(good_, wiring_, nodes_);
    EXPECT_FALSE(change.edit);
    EXPECT_FALSE(change.bridge);
}

TEST_F(RejoinedLink, HasEachPinAlone) {
    for (std::size_t k = 0; k < nodes_.size(); ++k) {
        for (std::size_t p = 0; p < nodes_[k].size(); ++p) {
            PinGroups groups = nodes_;
            groups[k][p] = 1000;
            expect_joined(groups);
            const Rejoined change = rejoined(good_, wiring_, groups);
            // But for a pin that is its node's only one, something hangs.
            EXPECT_EQ(change.edit != nullptr,
                      in_order(wiring_, groups) != in_order(wiring_, nodes_));
        }
    }
}

TEST_F(RejoinedLink, HasTheGroupsThatItWasGiven) {
    std::mt19937_64 random(3);
    for (int round = 0; round < 300; ++round) {
        PinGroups groups = nodes_;
        // Few strays or many; each to any conductor of its side, or to one of its own.
        const std::size_t one_in = 1 + random() % 12;
        for (std::size_t k = 0; k < groups.size(); ++k) {
            for (std::size_t p = 0; p < groups[k].size(); ++p) {
                const auto& node = wiring_.parts[k].pins[p].node;
                if (!node || random() % one_in != 0) continue;
                const std::size_t to = random() % (wiring_.nodes.size() + 2);
                const bool stray = to >= wiring_.nodes.size();
                if (stray) groups[k][p] = 1000 + 10 * to + (side_of_node(*node) == Side::input);
                if (!stray && side_of_node(to) == side_of_node(*node)) groups[k][p] = to;
            }
        }
        // Every other time a pin of either side touches one of the other.
        if (round % 2 == 0) {
            const auto any_pin = [&](const char* name) {
                const auto part = std::ranges::find(wiring_.parts, name, &WiringPart::name);
                const auto& pins = groups[static_cast<std::size_t>(part - wiring_.parts.begin())];
                return pins[random() % pins.size()];
            };
            const std::size_t input = any_pin(random() % 2 == 0 ? "R1" : "C1");
            const std::size_t output = any_pin(random() % 2 == 0 ? "R2" : "R4");
            for (auto& part : groups) std::ranges::replace(part, output, input);
        }
        expect_joined(groups);
        if (HasFatalFailure()) return;
    }
}

TEST_F(RejoinedLink, HasItsSidesBridgedAtAnyTwoNodes) {
    for (std::size_t a = 0; a < wiring_.nodes.size(); ++a) {
        for (std::size_t b = 0; b < wiring_.nodes.size(); ++b) {
            if (side_of_node(a) == side_of_node(b)) continue;
            PinGroups groups = nodes_;
            for (auto& part : groups) std::ranges::replace(part, a, b);
            expect_joined(groups);
            if (HasFatalFailure()) return;
        }
    }
}

}  // namespace
}  // namespace gapwright
