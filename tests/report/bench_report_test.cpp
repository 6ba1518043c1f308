// Test sheets and verdicts for a terminal: everything that is known is told, in words that a hand
// at the bench can follow.
#include "report/bench_report.hpp"

#include <gtest/gtest.h>

#include "bench_made.hpp"
#include "board/plan_board.hpp"
#include "build/wiring_of_link.hpp"
#include "report/text/text_table.hpp"
#include "source/terminal_text.hpp"

namespace gapwright {
namespace {

using testing_support::has;
using testing_support::made;
using testing_support::Made;
using testing_support::over_range;
using testing_support::verdict_of;

TEST(BenchText, TellsHowToSetTheLinkAndWhatToRead) {
    const std::string text = bench_text(made().answer(), false);
    EXPECT_TRUE(text.starts_with("Plain: test sheet\n")) << text;
    const auto isolation = text.find(
        "Isolation, from side to side (power off: supplies taken off; "
        "L1 taken off; S1 open)");
    const auto off = text.find("\nUnpowered (power off");
    const auto on = text.find("\nState on (supplies on; S1 closed)");
    EXPECT_LT(isolation, off);
    EXPECT_LT(off, on);
    EXPECT_LT(on, text.size());
    EXPECT_TRUE(has(text, "  over range  above 20 MΩ")) << text;
    EXPECT_TRUE(has(text, "    123 mV  117 … 130 mV")) << text;
    EXPECT_TRUE(has(text, "\n       over range: R1 is open\n")) << text;
    EXPECT_TRUE(has(text, "\n       about 5 V: U1.collector is open, or 1 other\n")) << text;
    EXPECT_TRUE(has(text, "- The emitter points at the receiver."));
    EXPECT_TRUE(has(text, "What this sheet does not see\n  - R9 & <b>R8</b> are exchanged\n"));
    EXPECT_TRUE(has(text, "15 °C to 30 °C, emitters new"));
    EXPECT_FALSE(has(text, "Verdict"));
    EXPECT_FALSE(has(text, "\x1b"));
    EXPECT_TRUE(has(for_terminal(bench_text(made().answer(), true)), "\x1b[1mState on\x1b[0m"));
}

TEST(BenchText, TellsWhereTheLeadsGo) {
    Made m = made();
    BenchAnswer answer = m.answer();
    const std::string bare = bench_text(answer, false);
    EXPECT_TRUE(has(bare, "U1 pin 4 collector, R2, L1\n")) << bare;
    EXPECT_TRUE(has(bare, "output supply −, U1 pin 3 emitter\n")) << bare;
    EXPECT_TRUE(has(
        bare,
        "Take the lead of input supply + off the board, and put it back after the reading. The "));
    const Wiring wiring = wiring_of(m.link);
    const Plan plan = *plan_board(wiring, {.kind = BoardKind::solderless, .starts = 1});
    answer.holes = node_holes_of(m.link, wiring, plan);
    const std::string planned = bench_text(answer, false);
    // The coupler stands on the board, the logic input's lead leaves it.
    std::vector<std::string> expected;
    for (const char* name : {"U1", "L1"}) {
        const auto part = std::ranges::find(wiring.parts, name, &WiringPart::name);
        const auto k = static_cast<std::size_t>(part - wiring.parts.begin());
        expected.push_back(
            hole_name(plan.board, plan.holes[k][std::string_view(name) == "U1" ? 3 : 0]));
    }
    const auto& holes = answer.holes.at({Side::output, *m.link.output.find_node("signal")});
    ASSERT_EQ(holes.size(), 3U);
    EXPECT_EQ(holes[0], expected[0]);
    EXPECT_EQ(holes[2], expected[1]);
    EXPECT_TRUE(has(planned, "hole " + holes[0] + " or " + holes[1] + "\n")) << planned;
}

TEST(BenchText, TellsWhatTheReadingsComeTo) {
    const Made m = made();
    BenchAnswer answer = m.answer();
    answer.verdict = verdict_of(m);
    const std::string text = bench_text(answer, false);
    EXPECT_TRUE(text.starts_with("Plain: ✗ faulty\n")) << text;
    EXPECT_TRUE(has(text, "✗ wrong\n"));
    EXPECT_TRUE(has(text, "✓ in band\n"));
    EXPECT_TRUE(has(text, "4.71 V"));
    EXPECT_TRUE(has(text, "! suspicious\n"));
    EXPECT_TRUE(has(text,
                    "One of these, which no further reading tells apart: "
                    "U1.collector is open; R1 is open.\n"));
    EXPECT_TRUE(has(text, "62 %  U1.collector is open  explains 3 of 3 readings\n")) << text;
    EXPECT_TRUE(
        has(text, "explains 2 of 3 readings; no further reading tells it from the first\n"));
    EXPECT_TRUE(has(text, "4 %  something else\n")) << text;
    EXPECT_TRUE(has(text, "Next: voltage across R1 in state on; red lead: between S1 and R1; "))
        << text;
    EXPECT_TRUE(has(text, "good links read 4.72 …")) << text;
}

TEST(BenchText, SaysTheVerdictInASentence) {
    const Made m = made();
    BenchAnswer answer = m.answer();
    answer.verdict = verdict_of(m);
    const auto says = [&](LinkVerdict verdict, std::string_view sign, std::string_view sentence) {
        answer.verdict->verdict = verdict;
        const std::string text = bench_text(answer, false);
        EXPECT_TRUE(has(text, sign)) << text;
        EXPECT_TRUE(has(text, sentence)) << text;
    };
    answer.verdict->suspects[1].alike = false;
    says(LinkVerdict::faulty, "✗ faulty", "A fault: U1.collector is open.");
    says(LinkVerdict::good, "✓ good", "those of a good link, and the sides are apart.");
    says(LinkVerdict::undecided, "! undecided", "Not decided");
    answer.verdict->isolation.across = WayAcross{.resistance = 10.2e3,
                                                 .input = {Node::side_return},
                                                 .output = {*m.link.output.find_node("signal")}};
    says(LinkVerdict::joined, "✗ joined", "Do not switch on: the sides are joined by about 10 kΩ");
    EXPECT_TRUE(has(bench_text(answer, false), "signal on the output"));
    answer.verdict->two_faults = true;
    says(LinkVerdict::unexplained, "✗ unexplained", "None of the faults known");
    EXPECT_TRUE(has(bench_text(answer, false), "No single fault explains the readings well"));
}

TEST(BenchText, KeepsWithinTheTerminal) {
    const Made m = made();
    BenchAnswer answer = m.answer();
    answer.verdict = verdict_of(m);
    const std::string text = bench_text(answer, false);
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = text.find('\n', at);
        const std::string line = text.substr(at, end - at);
        EXPECT_LE(width_of(line), 100U) << line;
        at = end + 1;
    }
}

TEST(BenchText, DigitsTellABandFromItsNominal) {
    Made m = made();
    m.sheet.lines[2].band = {.nominal = 1.234, .lowest = 1.232, .highest = 1.236};
    EXPECT_TRUE(has(bench_text(m.answer(), false), "1.23 V  1.232 … 1.236 V"));
    // What the meter cannot show is not told: 3.2 nV read as nothing.
    m.sheet.lines[2].band = {.nominal = 3.2e-9, .lowest = -2e-4, .highest = 2e-4};
    EXPECT_TRUE(has(bench_text(m.answer(), false), " 0 V  −200 … 200 µV"))
        << bench_text(m.answer(), false);
    m.sheet.lines[1].band = {.nominal = over_range, .lowest = over_range, .highest = over_range};
    EXPECT_TRUE(has(bench_text(m.answer(), false), "over range  over range\n"));
}

}  // namespace
}  // namespace gapwright
