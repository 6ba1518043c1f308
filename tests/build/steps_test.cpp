// Steps: everything goes in once, in an order that keeps people and parts out of trouble.
#include <gtest/gtest.h>

#include <filesystem>

#include "board/plan_board.hpp"
#include "build/build_sheet.hpp"
#include "build/wiring_of_link.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

struct Made {
    Link link;
    LinkCircuit circuit;
    Proof proof;
    std::vector<FirstCurrent> currents;
    BuildSheet sheet;
};

Made made(Link link, BoardKind kind) {
    auto circuit = build_circuit(link);
    auto proof = prove(link, *circuit, {.samples = 50, .timed_samples = 2});
    auto currents = first_currents(link, *circuit, 1, {});
    Wiring wiring = wiring_of(link);
    auto plan = plan_board(wiring, {.kind = kind, .starts = 4});
    auto sheet = build_sheet({link, *proof, currents}, wiring, *plan);
    return {std::move(link), std::move(*circuit), std::move(*proof), std::move(currents),
            std::move(sheet)};
}

Made example(const std::string& name, BoardKind kind) {
    return made(*read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml"),
                kind);
}

std::size_t step_titled(const BuildSheet& sheet, const std::string& start) {
    for (std::size_t k = 0; k < sheet.steps.size(); ++k) {
        if (sheet.steps[k].title.starts_with(start)) return k;
    }
    ADD_FAILURE() << "no step " << start;
    return 0;
}

std::string all_lines(const BuildStep& step) {
    std::string text;
    for (const auto& line : step.lines) text += line + "\n";
    return text;
}

TEST(Steps, PutEveryPartAndWireInExactlyOnce) {
    for (const char* name : {"bell-hammer", "chime-bus", "lamp-watch", "night-silence",
                             "pendulum-beat", "winder-motor"}) {
        for (const BoardKind kind : board_kinds) {
            const Made m = example(name, kind);
            std::vector<int> parts(m.sheet.wiring.parts.size(), 0);
            std::vector<int> wires(m.sheet.plan.wires.size(), 0);
            for (const auto& step : m.sheet.steps) {
                if (step.is_check) continue;
                for (const auto k : step.parts) ++parts[k];
                for (const auto k : step.wires) ++wires[k];
                // Each part put in is named with each of its holes.
                for (const auto k : step.parts) {
                    const std::string text = all_lines(step);
                    EXPECT_NE(text.find(m.sheet.wiring.parts[k].name), std::string::npos);
                    for (const Hole hole : m.sheet.plan.holes[k]) {
                        EXPECT_NE(text.find(hole_name(m.sheet.plan.board, hole)), std::string::npos)
                            << name << text;
                    }
                }
            }
            EXPECT_EQ(parts, std::vector<int>(parts.size(), 1)) << name;
            EXPECT_EQ(wires, std::vector<int>(wires.size(), 1)) << name;
        }
    }
}

TEST(Steps, TheCouplerGoesInLastAndBehindItsChecks) {
    const Made m = example("bell-hammer", BoardKind::strip);
    const auto& steps = m.sheet.steps;
    const std::size_t coupler = step_titled(m.sheet, "The coupler");
    EXPECT_LT(step_titled(m.sheet, "Cut the strips"), step_titled(m.sheet, "Resistors"));
    EXPECT_LT(step_titled(m.sheet, "The two sides are apart, before"), coupler);
    EXPECT_LT(step_titled(m.sheet, "First power of the input side"), coupler);
    EXPECT_LT(step_titled(m.sheet, "First power of the output side"), coupler);
    EXPECT_LT(coupler, step_titled(m.sheet, "The two sides are apart, with"));
    EXPECT_TRUE(steps[step_titled(m.sheet, "First power of the input side")].is_check);
    EXPECT_TRUE(steps.back().is_check);
    EXPECT_NE(all_lines(steps[coupler]).find("pin 1"), std::string::npos);
}

// On each side low parts come before taller ones.
TEST(Steps, LowPartsComeFirst) {
    const Made m = example("bell-hammer", BoardKind::solderless);
    for (const Side side : {Side::input, Side::output}) {
        double last = 0;
        for (const auto& step : m.sheet.steps) {
            for (const auto k : step.parts) {
                const auto& part = m.sheet.wiring.parts[k];
                const bool counts = !step.is_check && part.side == side &&
                                    part.footprint.body != Body::leads &&
                                    part.footprint.body != Body::coupler;
                if (!counts) continue;
                EXPECT_GE(part.footprint.height, last);
                last = part.footprint.height;
            }
        }
    }
}

TEST(Steps, SayHowEndsAreToldApart) {
    const Made bell = example("bell-hammer", BoardKind::grid);
    EXPECT_NE(all_lines(bell.sheet.steps[step_titled(bell.sheet, "Diodes")]).find("band"),
              std::string::npos);
    EXPECT_NE(all_lines(bell.sheet.steps[step_titled(bell.sheet, "Transistors")]).find("assumed"),
              std::string::npos);
    const Made lamp = example("lamp-watch", BoardKind::grid);
    EXPECT_NE(all_lines(lamp.sheet.steps[step_titled(lamp.sheet, "LEDs")]).find("short lead"),
              std::string::npos);
    const std::string halves =
        all_lines(lamp.sheet.steps[step_titled(lamp.sheet, "The halves of the gap")]);
    EXPECT_NE(halves.find("30 mm"), std::string::npos) << halves;
}

// A bleeder across the emitter's place: what flows without the coupler is Ohm's law.
TEST(FirstPower, IsWhatFlowsWithoutTheEmitter) {
    const auto link = testing_support::link_from(R"([input]
supply = "10 V"
paths = ["supply > S1 > R1 > sense", "sense > U1 > return", "sense > R3 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > U1 > return"]
[parts]
S1 = { kind = "contact", closed_resistance = "1 mΩ" }
R1 = { kind = "resistor", value = "1 kΩ" }
R3 = { kind = "resistor", value = "4 kΩ ± 10 %" }
R2 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
)");
    ASSERT_TRUE(link) << to_text(link.error());
    const Made m = made(*link, BoardKind::grid);
    ASSERT_EQ(m.currents.size(), 4U);
    const auto& on = m.currents[0];
    EXPECT_EQ(on.state, "on");
    EXPECT_EQ(on.side, Side::input);
    EXPECT_NEAR(on.nominal, 2e-3, 1e-7);
    EXPECT_NEAR(on.lowest, 10.0 / 5400, 2e-5);
    EXPECT_NEAR(on.highest, 10.0 / 4600, 2e-5);
    EXPECT_NEAR(m.currents[1].nominal, 0, 1e-6);
    EXPECT_LT(m.currents[2].highest, 1e-6);  // the receiver is dark
    // With the coupler in its place far more of it flows.
    const auto& states = m.proof.states;
    EXPECT_GT(states[0].currents[0].second, 2.2 * on.nominal);
}

TEST(FirstPower, OfAPairIsWithoutBothItsHalves) {
    const Made m = example("lamp-watch", BoardKind::grid);
    ASSERT_EQ(m.currents.size(), 4U);
    for (const auto& current : m.currents) {
        EXPECT_LT(current.highest, 1e-6) << side_name(current.side) << current.state;
    }
    // With them in, both sides carry milliamperes.
    EXPECT_GT(m.currents[0].fitted, 5e-3);
    EXPECT_GT(m.currents[2].fitted, 5e-3);
}

// What a person is told to limit a supply to lets the link work.
TEST(Steps, LimitSuppliesAboveWhatTheLinkTakes) {
    const Made m = example("winder-motor", BoardKind::solderless);
    const std::string use = all_lines(m.sheet.steps[step_titled(m.sheet, "First use")]);
    EXPECT_NE(use.find("2 A on the output side"), std::string::npos) << use;
    const std::string links = all_lines(m.sheet.steps[step_titled(m.sheet, "Links of the output")]);
    EXPECT_NE(links.find("springs"), std::string::npos) << links;
}

TEST(Steps, BeginWithWhatIsNotKept) {
    auto link = *read_link_file(PROJECT_FOLDER "/examples/clock-tower/bell-hammer.link.toml");
    link.surroundings.working_voltage = 120;
    const Made m = made(link, BoardKind::solderless);
    EXPECT_FALSE(m.sheet.insulation.kept());
    EXPECT_TRUE(m.sheet.steps[0].title.starts_with("Isolation is not kept"));
    EXPECT_NE(all_lines(m.sheet.steps[0]).find("no rating"), std::string::npos);
    const Made plain = example("bell-hammer", BoardKind::solderless);
    EXPECT_TRUE(plain.sheet.insulation.kept());
    EXPECT_FALSE(plain.sheet.steps[0].is_check);
}

// Every node of one side is touched to every node of the other.
TEST(Steps, TheIsolationCheckTouchesEveryNode) {
    for (const BoardKind kind : board_kinds) {
        const Made m = example("chime-bus", kind);
        const auto& step = m.sheet.steps[step_titled(m.sheet, "The two sides are apart, before")];
        for (std::size_t n = 0; n < m.sheet.wiring.nodes.size(); ++n) {
            bool used = false;
            bool touched = false;
            for (std::size_t k = 0; k < m.sheet.wiring.parts.size(); ++k) {
                for (std::size_t p = 0; p < m.sheet.wiring.parts[k].pins.size(); ++p) {
                    if (m.sheet.wiring.parts[k].pins[p].node != n) continue;
                    used = true;
                    const std::string hole =
                        hole_name(m.sheet.plan.board, m.sheet.plan.holes[k][p]);
                    const std::string& line = step.lines[1];
                    for (const char* end : {",", " ", ":"}) {
                        touched = touched || line.find(" " + hole + end) != std::string::npos;
                    }
                }
            }
            EXPECT_EQ(touched, used) << m.sheet.wiring.nodes[n].name << ": " << step.lines[1];
        }
    }
}

}  // namespace
}  // namespace gapwright
