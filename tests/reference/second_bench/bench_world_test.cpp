// The second bench's world by pencil: what a meter must show where anybody can work it out.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <memory>
#include <string>

#include "reference/second_bench/second_bench.hpp"
#include "reference/second_bench/second_faults.hpp"

namespace gapwright::reference {
namespace {

// Figures without a spread, so that all that varies is the meter and the room.
constexpr const char* exact_link = R"(
title = "By pencil"
[input]
supply = "10 V ± 0.01 %"
paths = [
  "supply > R1 > mid", "mid > R2 > return",
  "supply > R3 > high", "high > R4 > return",
  "supply > S1 > R5 > lit", "lit > D1 > below", "below > U1 > return",
  "supply > R6 > knee", "knee > D2 > return", "knee > R7 > return",
]
[output]
supply = "12 V ± 0.01 %"
paths = [
  "supply > R8 > drain", "drain > M1 > return",
  "supply > U1 > M1.gate", "M1.gate > R9 > return",
]
[parts]
R1 = { kind = "resistor", value = "1 kΩ ± 0.01 %" }
R2 = { kind = "resistor", value = "3 kΩ ± 0.01 %" }
R3 = { kind = "resistor", value = "1 MΩ ± 0.01 %" }
R4 = { kind = "resistor", value = "1 MΩ ± 0.01 %" }
S1 = { kind = "contact" }
R5 = { kind = "resistor", value = "1 kΩ ± 0.01 %" }
D1 = { kind = "led", forward = "2 V ± 0.01 % at 20 mA", ideality = 2, series_resistance = "2 Ω" }
U1 = { card = "four-pin-coupler-b" }
R6 = { kind = "resistor", value = "100 kΩ ± 0.01 %" }
D2 = { kind = "diode", forward = "0.7 V ± 0.01 % at 10 mA", ideality = 1.8 }
R7 = { kind = "resistor", value = "220 Ω ± 0.01 %" }
R8 = { kind = "resistor", value = "1 kΩ ± 0.01 %" }
M1 = { card = "n-mosfet-logic" }
R9 = { kind = "resistor", value = "10 kΩ ± 0.01 %" }
[states]
on  = { S1 = "closed" }
off = { S1 = "open" }
)";

class SecondWorld : public testing::Test {
  protected:
    SecondWorld() {
        auto text = std::make_shared<SourceText>("pencil.link.toml", exact_link);
        auto read = read_link(text, PROJECT_FOLDER "/cards");
        if (!read) throw std::runtime_error(to_text(read.error()));
        link = std::move(*read);
    }

    Node at(Side side, const std::string& name) const {
        return link.side(side).find_node(name).value();
    }
    Measurement measurement(MeasurementKind kind, const std::string& state, Side side,
                            const std::string& plus, const std::string& minus) const {
        Measurement m;
        m.kind = kind;
        m.state = state;
        m.side = side;
        m.plus = at(side, plus);
        m.minus = at(side, minus);
        return m;
    }
    Measurement across(const std::string& plus, const std::string& minus) const {
        Measurement m;
        m.kind = MeasurementKind::isolation;
        m.state = unpowered;
        m.plus = at(Side::input, plus);
        m.minus = at(Side::output, minus);
        return m;
    }
    double read(const Measurement& m, std::uint64_t seed = 1, const SecondFault* fault = nullptr) {
        return SecondBench(link, seed, fault).read(m);
    }
    SecondFault bridge(const std::string& in, const std::string& out, double ohms) const {
        Dice dice(1);
        const Board board = drawn_board(link, dice);
        return bridge_between(link, board, board.node(Side::input, at(Side::input, in)),
                              board.node(Side::output, at(Side::output, out)), ohms);
    }
    SecondFault fault(FaultKind kind, const std::string& part, std::size_t hole = 0) const {
        Dice dice(1);
        for (auto& one : second_faults(link, dice)) {
            if (one.kind != kind) continue;
            if (one.parts.empty() || one.parts[0] != part) continue;
            if (!one.hole || *one.hole == hole) return one;
        }
        throw std::logic_error("no such fault");
    }

    Link link;
};

constexpr double over_range = std::numeric_limits<double>::infinity();

TEST_F(SecondWorld, DividerIsThreeQuarters) {
    const auto m = measurement(MeasurementKind::voltage, "on", Side::input, "mid", "return");
    // 7.5 V ± (0.5 % + 2 digits of 10 mV); 10 MΩ across 750 Ω is nothing.
    EXPECT_NEAR(read(m), 7.5, 0.06);
    EXPECT_NEAR(read(m, 2), 7.5, 0.06);
}

TEST_F(SecondWorld, MeterLoadsAMegohm) {
    const auto m = measurement(MeasurementKind::voltage, "on", Side::input, "high", "return");
    // 1 MΩ ∥ 10 MΩ = 909 kΩ; 10 V · 909/1909 = 4.762 V.
    EXPECT_NEAR(read(m), 4.762, 0.05);
}

TEST_F(SecondWorld, LedShowsItsForwardVoltageOneWayOnly) {
    const auto m =
        measurement(MeasurementKind::junction, std::string(unpowered), Side::input, "lit", "below");
    auto backwards = m;
    std::swap(backwards.plus, backwards.minus);
    // 2 V − 20 mA · 2 Ω − 2·25.7 mV·ln 20 + 1 mA · 2 Ω = 1.81 V at 25 °C, −2 mV a kelvin.
    EXPECT_NEAR(read(m), 1.81, 0.05);
    EXPECT_EQ(read(backwards), over_range);
    const SecondFault reversed = fault(FaultKind::led_reversed, "D1");
    EXPECT_EQ(read(m, 1, &reversed), over_range);
    EXPECT_NEAR(read(backwards, 1, &reversed), 1.81, 0.05);
}

TEST_F(SecondWorld, ResistorBesideADiodeIsReadBelowItsKnee) {
    const auto ohms = measurement(MeasurementKind::resistance, std::string(unpowered), Side::input,
                                  "knee", "return");
    // 220 Ω takes 0.3 V at most: the diode next to it carries some µA.
    EXPECT_NEAR(read(ohms), 220, 6);
    auto junction = ohms;
    junction.kind = MeasurementKind::junction;
    // A milliampere through 220 Ω is 0.22 V, of a meter that may be a tenth off.
    EXPECT_NEAR(read(junction), 0.22, 0.025);
    auto alone = junction;
    alone.off = link.find_part("R7");
    EXPECT_NEAR(read(alone), 0.593, 0.03);
    const SecondFault open = fault(FaultKind::resistor_open, "R7");
    // 0.7 V − 1.8·25.7 mV·ln 10 = 0.593 V by itself.
    EXPECT_NEAR(read(junction, 1, &open), 0.593, 0.03);
}

TEST_F(SecondWorld, SidesAreApart) {
    for (bool reversed : {false, true}) {
        auto m = across("return", "return");
        m.all_input = m.all_output = true;
        m.reversed = reversed;
        EXPECT_EQ(read(m), over_range);
        m.kind = MeasurementKind::insulation;
        EXPECT_EQ(read(m), over_range);
    }
}

TEST_F(SecondWorld, BridgeIsReadWholeWithBothSidesClipped) {
    const SecondFault way = bridge("mid", "drain", 47e3);
    auto m = across("return", "return");
    m.all_input = m.all_output = true;
    EXPECT_NEAR(read(m, 1, &way), 47e3, 600);
    m.reversed = true;
    EXPECT_NEAR(read(m, 1, &way), 47e3, 600);
    m.kind = MeasurementKind::insulation;
    EXPECT_NEAR(read(m, 1, &way), 47e3, 4e3);
    // From one node with the other side clipped, what lies on the way adds up: from the input's
    // supply 1 kΩ besides, from its return 3 kΩ, both in a net that joins them by 1.1 kΩ and more.
    m = across("supply", "return");
    m.all_output = true;
    EXPECT_GT(read(m, 1, &way), 47.3e3);
    EXPECT_LT(read(m, 1, &way), 48.6e3);
}

TEST_F(SecondWorld, MosfetHasABodyDiode) {
    auto m = measurement(MeasurementKind::junction, std::string(unpowered), Side::output, "return",
                         "drain");
    // n V_T ln(1 mA/5 pA) is 0.55 V; type to type it is half or twice that current.
    EXPECT_NEAR(read(m), 0.55, 0.06);
    std::swap(m.plus, m.minus);
    EXPECT_EQ(read(m), over_range);
    const SecondFault turned = fault(FaultKind::drain_source_exchanged, "M1");
    EXPECT_NEAR(read(m, 1, &turned), 0.55, 0.06);
    // Turned, it conducts with its gate at nothing: a diode's drop in place of 12 V.
    const auto off = measurement(MeasurementKind::voltage, "off", Side::output, "drain", "return");
    EXPECT_NEAR(read(off), 12, 0.1);
    EXPECT_NEAR(read(off, 1, &turned), 0.62, 0.08);
}

TEST_F(SecondWorld, FloatingNodeReadsWhatItPicksUp) {
    const SecondFault open = fault(FaultKind::open_joint, "D1", 1);
    const auto m = measurement(MeasurementKind::voltage, "off", Side::input, "below", "return");
    double least = 1, most = -1;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const double value = read(m, seed, &open);
        EXPECT_LT(std::abs(value), 0.06) << seed;
        least = std::min(least, value);
        most = std::max(most, value);
    }
    EXPECT_GT(most - least, 0.005);
}

TEST_F(SecondWorld, LiftedPartIsReadByItself) {
    const SecondFault beside = bridge("return", "return", 1);  // joins nothing on this side
    auto m = measurement(MeasurementKind::resistance, std::string(unpowered), Side::output,
                         "M1.gate", "return");
    const SecondFault punctured = fault(FaultKind::gate_leaks, "M1");
    const double together = 1 / (1 / 10e3 + 1 / punctured.amount);
    EXPECT_NEAR(read(m, 1, &punctured), together, together * 0.03 + 1);
    m.lifted = link.find_part("R9");
    EXPECT_NEAR(read(m, 1, &punctured), 10e3, 150);
    EXPECT_NEAR(read(m, 1, &beside), 10e3, 150);
}

TEST_F(SecondWorld, CurrentIsReadWithTheMeterInTheLead) {
    Measurement m;
    m.kind = MeasurementKind::current;
    m.state = "on";
    m.side = Side::input;
    m.part = link.find_part("S1");
    m.plus = at(Side::input, "supply");
    // (10 V − 1.95 V − 1.2 V)/1 kΩ, and about 0.1 V of burden.
    EXPECT_NEAR(read(m), 6.8e-3, 0.3e-3);
    m.state = "off";
    EXPECT_NEAR(read(m), 0, 1e-6);
}

}  // namespace
}  // namespace gapwright::reference
