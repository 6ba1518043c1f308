// What people read of a design at a terminal.
#include "report/text/design_text.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "report/words/design_words.hpp"
#include "source/terminal_text.hpp"
#include "support/made_design.hpp"

namespace gapwright {
namespace {

using testing_support::made_answer;
using testing_support::made_design;
using testing_support::made_limit;
using testing_support::made_need_design;

// Every one of `parts` stands in the text.
void expect_all(const std::string& text, const std::vector<const char*>& parts) {
    for (const char* part : parts) EXPECT_NE(text.find(part), std::string::npos) << part << text;
}

TEST(DesignText, TellsOfAnAnswer) {
    const auto text = design_text(made_design(Verdict::kept), {});
    EXPECT_TRUE(text.starts_with("Bell hammer: 1 answer holds; values from the E24 series\n"))
        << text;
    expect_all(text,
               {"\n1  first choice, fewest parts\n", "✓ kept, least reserve 28.6 %, asked 10 %",
                "voltage supply to coil, on: 21.6 V, promise ≥ 16.8 V",
                "worst at U1 photocurrent ratio 0.00341", "45 °C", "9 parts; 34.2 mA",
                "supply > S1 > R1 > U1 > return", "292 Ω ± 5 %", "270 Ω + 22 Ω", "301 Ω",
                "10 Ω  ├───────▓█▓─────────────────┤  1 MΩ",
                "R1 holds from 181 Ω (below: U1 forward current, on) to 591 Ω (above: voltage "
                "supply to coil, on)",
                "none of 1 771 561 sets has more reserve", "Worked steps of answer 1",
                "R1 = (4.75 V", "▸  270 Ω + 22 Ω", "−2 %",
                "input side dead (no supply, wire cut, emitter failed): as in state off"});
    for (const char* part :
         {"looked at", "Gaps", "would help", "stopped", "skipped", "!", "\x1b"}) {
        EXPECT_EQ(text.find(part), std::string::npos) << part << text;
    }
}

TEST(DesignText, TellsOfDraftsAndGapsOfANeed) {
    const auto text = design_text(made_need_design(), {});
    EXPECT_TRUE(
        text.starts_with("Bell hammer: 2 answers hold, 1 of them thin; values from "
                         "drawer.csv; 12 drafts looked at\n  2 rows of the drawer "
                         "skipped\n"))
        << text;
    expect_all(
        text,
        {"series resistor · Four-pin coupler, gain class B · npn switch", "\n2  least current\n",
         "! thin", "what would help",
         "Four-pin coupler, gain class C, as U1  least reserve 35.2 %  stretch 1.8",
         "over answer 1: 16.7 mA against 34.2 mA", "not in the drawer: npn-small",
         "against good practice\n    Q1, on: base drive 131 µA; asked: 830 µA", "Side by side",
         "Ways to build the output side", "ruled out: the load is on when the input side is dead",
         "Worked steps of answer 2", "Gaps compared", "ruled out: no insulation rating"});
}

TEST(DesignText, WhereNothingHoldsTellsTheNearestMiss) {
    const auto text = design_text(made_design(Verdict::broken), {});
    EXPECT_TRUE(text.starts_with("Bell hammer: no answer holds")) << text;
    expect_all(text, {"Nearest miss", "✗ broken",
                      "voltage supply to coil ≥ 16.8 V in state on: reaches 14.1 V; would hold if "
                      "at least 12.8 V were enough, with the asked reserve of 10 %",
                      "Worked steps of the nearest miss"});
    Design nothing;
    nothing.title = "Bell hammer";
    expect_all(design_text(nothing, {}), {"no answer holds", "has an operating point"});
}

TEST(DesignText, SaysWhatWouldSettleWhatIsUnknown) {
    auto design = made_design(Verdict::unknown);
    Proof proof = *design.answers[0].proof;
    proof.promises[0].verdict = Verdict::unknown;
    proof.promises[0].reason = "state U1 gain: it holds with 300, not with 80";
    design.answers[0].proof = std::make_shared<const Proof>(proof);
    expect_all(design_text(design, {}), {"no answer holds", "? unknown",
                                         "\n  unknown, and what would settle it\n    voltage "
                                         "signal, on: state U1 gain: it holds with 300, not "
                                         "with 80\n"});
    EXPECT_EQ(design_text(made_design(Verdict::kept), {}).find("would settle"), std::string::npos);
}

TEST(DesignText, SaysWhenItWasStopped) {
    auto design = made_design(Verdict::thin);
    design.stopped = true;
    design.answers[0].all_looked_at = false;
    expect_all(design_text(design, {}), {"1 answer holds, but thin", "stopped before the end",
                                         "before the stop; not proven"});
}

TEST(DesignText, StepsCanBeLeftOutAndColourOnlyWhereAsked) {
    const auto design = made_design(Verdict::kept);
    EXPECT_EQ(design_text(design, {.steps = false}).find("Worked steps"), std::string::npos);
    EXPECT_NE(for_terminal(design_text(design, {.colour = true})).find("\x1b["), std::string::npos);
}

TEST(DesignWords, HowWellTheOptimumIsKnown) {
    Answer answer = made_answer(Verdict::kept);
    answer.all_looked_at = false;
    answer.sets_on_offer = 5.2e10;
    EXPECT_EQ(optimum_text(answer, false), "found by search among 5.2e10 sets; not proven");
    answer.values.clear();
    EXPECT_EQ(optimum_text(answer, false), "");
    EXPECT_EQ(count_text(999), "999");
    EXPECT_EQ(count_text(1000), "1 000");
}

TEST(DesignWords, AWindowMayBeOpenOrEmpty) {
    ValueWindow window;
    window.lowest = 10;
    window.highest = 1e6;
    window.holds_to = 5900;
    window.open_below = true;
    EXPECT_EQ(window_text(window), "holds from 10 Ω, the lowest on offer, to 5.9 kΩ");
    window.open_above = true;
    EXPECT_EQ(window_text(window), "holds with every value on offer, 10 Ω to 1 MΩ");
    window.holds_from = 6000;
    EXPECT_EQ(window_text(window), "no value holds, the others as chosen");
}

// With the relaxed bound, and with what is printed of it, the value keeps the bound as asked.
TEST(DesignWords, ARelaxedBoundHoldsWithTheAskedReserve) {
    for (const double value : {14.137, -3.2194, 0.0771}) {
        for (const Sense sense : {Sense::at_least, Sense::at_most}) {
            Limit limit = made_limit();
            limit.value = value;
            limit.sense = sense;
            const auto bound = relaxed_bound(limit, 0.2);
            ASSERT_TRUE(bound);
            EXPECT_NEAR(reserve_left(value, *bound, sense), 0.2, 1e-12);
            const double rounded =
                sense == Sense::at_least ? rounded_down(*bound) : rounded_up(*bound);
            EXPECT_GE(reserve_left(value, rounded, sense), 0.2 - 1e-12);
            EXPECT_NEAR(rounded, *bound, 0.01 * std::abs(*bound));
        }
    }
    Limit limit = made_limit();
    limit.sense = Sense::at_most;
    EXPECT_FALSE(relaxed_bound(limit, 1.0));
    limit.value = std::numeric_limits<double>::quiet_NaN();
    EXPECT_FALSE(relaxed_bound(limit, 0.1));
}

}  // namespace
}  // namespace gapwright
