// Parts to pull: what lies where, what is missing, and that every replacement holds by a proof of
// its own.
#include "build/parts_to_pull.hpp"

#include <gtest/gtest.h>

#include <set>

#include "card/key.hpp"
#include "design/judging/limits.hpp"
#include "design/values/open_stock.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::plain_link;
using testing_support::with;

const std::string examples = std::string(PROJECT_FOLDER) + "/examples/clock-tower";

std::string text_of(const std::string& path) {
    return std::string(read_file(path).value()->text());
}
std::string example(const std::string& name) {
    return text_of(examples + "/" + name + ".link.toml");
}
std::string example_drawer() {
    return text_of(examples + "/needs/drawer.csv");
}

// The drawer's text without the lines that begin so.
std::string without(const std::string& drawer, const std::string& beginning) {
    std::string left;
    for (std::size_t at = 0; at < drawer.size();) {
        const std::size_t end = std::min(drawer.find('\n', at), drawer.size() - 1) + 1;
        const std::string line = drawer.substr(at, end - at);
        if (!line.starts_with(beginning)) left += line;
        at = end;
    }
    return left;
}

Link link_of(const std::string& text) {
    return testing_support::link_from(text).value();
}

std::expected<PartsToPull, DesignFailure> pulled(const std::string& text,
                                                 const std::optional<std::string>& drawer,
                                                 PullOptions options = {}) {
    options.samples = 500;
    options.engine.threads = 1;
    const auto source = std::make_shared<const SourceText>("test.link.toml", text);
    const Link link = read_link(source, "no-such-folder").value();
    std::optional<Drawer> rows;
    if (drawer) {
        rows = read_drawer(std::make_shared<const SourceText>("drawer.csv", *drawer)).value();
    }
    return parts_to_pull(source, "no-such-folder", link, rows, options);
}

const PullItem& item_of(const PartsToPull& pull, const std::string& designator) {
    for (const auto& item : pull.items) {
        if (std::ranges::find(item.designators, designator) != item.designators.end()) return item;
    }
    ADD_FAILURE() << "no item for " << designator;
    return pull.items.front();
}

// Proven anew, and not by what is under test.
Verdict verdict_of(const std::string& text) {
    const Link link = link_of(text);
    const auto circuit = build_circuit(link).value();
    return prove(link, circuit, {.samples = 500, .engine = {.threads = 1}}).value().verdict;
}

using Names = std::vector<std::string>;

std::vector<std::size_t> lines_of(const std::string& drawer, const std::string& beginning) {
    std::vector<std::size_t> lines;
    const SourceText text("drawer.csv", drawer);
    for (std::size_t line = 1; !text.line(line).empty(); ++line) {
        if (text.line(line).starts_with(beginning)) lines.push_back(line);
    }
    return lines;
}

TEST(PartsToPull, AllInTheDrawer) {
    const std::string drawer = example_drawer();
    const auto pull = pulled(example("bell-hammer"), drawer).value();
    EXPECT_TRUE(pull.has_drawer);
    EXPECT_TRUE(pull.text.empty());
    std::set<std::string> all;
    for (const auto& item : pull.items) {
        EXPECT_TRUE(item.missing.empty()) << item.look.text;
        EXPECT_TRUE(item.instead.empty());
        for (const auto& name : item.designators) EXPECT_TRUE(all.insert(name).second) << name;
    }
    EXPECT_EQ(all, (std::set<std::string>{"P1", "R1", "U1", "R2", "R3", "Q1", "K1", "D1",
                                          "input supply", "output supply"}));

    const PullItem& base = item_of(pull, "R2");
    EXPECT_EQ(base.designators, (Names{"R2", "R3"}));
    EXPECT_EQ(base.look.text, "10 kΩ ± 5 %, 250 mW");
    EXPECT_EQ(colour_words(base.look.bands.value()), "brown black orange gold");
    EXPECT_EQ(base.look.marking, "10KJ");
    ASSERT_EQ(base.sources.size(), 1U);
    EXPECT_EQ(base.sources[0].designators, (Names{"R2", "R3"}));
    EXPECT_EQ(lines_of(drawer, "resistor,10 kΩ"), std::vector{base.sources[0].line});

    const PullItem& coupler = item_of(pull, "U1");
    EXPECT_EQ(coupler.look.kind, Kind::coupler);
    EXPECT_EQ(coupler.look.card, "four-pin-coupler-b");
    EXPECT_FALSE(coupler.look.bands);
    ASSERT_EQ(coupler.sources.size(), 1U);
    EXPECT_EQ(coupler.sources[0].note, "in the tin");
    EXPECT_EQ(lines_of(drawer, "coupler,,,,6,"), std::vector{coupler.sources[0].line});
    EXPECT_EQ(item_of(pull, "Q1").look.text, "Medium npn transistor");
}

TEST(PartsToPull, EquipmentStandsOffTheBoardAndIsNeverMissing) {
    const auto pull = pulled(example("bell-hammer"), example_drawer()).value();
    for (const auto& item : pull.items) {
        const std::set<Kind> equipment = {Kind::logic_output, Kind::coil, Kind::battery};
        EXPECT_EQ(item.off_board, equipment.contains(item.look.kind)) << item.look.text;
    }
    EXPECT_EQ(item_of(pull, "input supply").look.text, "supply, 5 V ± 5 %");
    EXPECT_TRUE(item_of(pull, "K1").sources.empty());

    const auto shelved =
        pulled(example("bell-hammer"), example_drawer() + "coil,,,,1,relay-coil-24v,top shelf\n")
            .value();
    ASSERT_EQ(item_of(shelved, "K1").sources.size(), 1U);
    EXPECT_EQ(item_of(shelved, "K1").sources[0].note, "top shelf");
}

TEST(PartsToPull, NoDrawer) {
    const auto pull = pulled(example("bell-hammer"), std::nullopt).value();
    EXPECT_FALSE(pull.has_drawer);
    for (const auto& item : pull.items) {
        EXPECT_TRUE(item.sources.empty());
        EXPECT_TRUE(item.instead.empty());
        EXPECT_EQ(item.missing, item.off_board ? Names{} : item.designators);
    }
}

TEST(PartsToPull, TakesThePartThatHasTheLeastToSpare) {
    // The strong one stands first, but the part that needs it comes later.
    const std::string text =
        with(plain_link(), "\"10 kΩ ± 5 %\" }", "\"1 kΩ ± 5 %\", power = \"0.5 W\" }");
    const std::string drawer =
        "kind,value,tolerance,power,count,card,note\n"
        "resistor,1 kΩ,1 %,0.6 W,1,,strong\n"
        "resistor,1k0,5 %,0.25 W,1,,weak\n"
        "resistor,1 kΩ,10 %,2 W,9,,wide\n"
        "coupler,,,,,four-pin-coupler-b,\n";
    const auto pull = pulled(text, drawer, {.replacements = false}).value();
    EXPECT_EQ(item_of(pull, "R1").sources.at(0).note, "weak");
    EXPECT_EQ(item_of(pull, "R2").sources.at(0).note, "strong");
    EXPECT_EQ(colour_words(item_of(pull, "R2").sources[0].look.bands.value()),
              "brown black black brown brown");
    EXPECT_EQ(item_of(pull, "R2").sources[0].look.marking, "1K0F");
}

TEST(PartsToPull, ShortOfACount) {
    const std::string drawer =
        with(example_drawer(), "resistor,10 kΩ,5 %,0.25 W,75", "resistor,10 kΩ,5 %,0.25 W,1");
    const auto pull = pulled(example("bell-hammer"), drawer).value();
    const PullItem& item = item_of(pull, "R3");
    EXPECT_EQ(item.designators, (Names{"R2", "R3"}));
    EXPECT_EQ(item.sources.at(0).designators, Names{"R2"});
    EXPECT_EQ(item.missing, Names{"R3"});
    ASSERT_EQ(item.instead.size(), 1U);
    const auto& found = item.instead[0].found;
    ASSERT_TRUE(found);
    EXPECT_EQ(found->text, "12 kΩ ± 5 %, 250 mW");  // log 1.2 < log 10/8.2
    EXPECT_EQ(found->sources.at(0).line, lines_of(drawer, "resistor,12 kΩ").at(0));
    const Link link = link_of(pull.text);
    EXPECT_EQ(link.parts[*link.find_part("R3")].description.nominal(Key::value), 12e3);
    EXPECT_EQ(link.parts[*link.find_part("R2")].description.nominal(Key::value), 10e3);
    EXPECT_NE(verdict_of(pull.text), Verdict::broken);
}

// R1 of night-silence takes a third of a watt: one of the same value but 0.25 W is the likest.
TEST(PartsToPull, PassesOverTheLikestWhereItBreaksARating) {
    const std::string drawer = without(example_drawer(), "resistor,2.2 kΩ,5 %,0.6 W");
    const std::string text = example("night-silence");
    const auto pull = pulled(text, drawer).value();
    ASSERT_EQ(item_of(pull, "R1").instead.size(), 1U);
    const ReplacementSearch& search = item_of(pull, "R1").instead[0];
    EXPECT_EQ(search.end, SearchEnd::found);
    ASSERT_TRUE(search.found);
    ASSERT_FALSE(search.passed_over.empty());
    EXPECT_EQ(search.passed_over[0].text, "2.2 kΩ ± 5 %, 250 mW");
    ASSERT_TRUE(search.passed_over[0].broke);
    EXPECT_EQ(search.passed_over[0].broke->subject, "R1 power");
    EXPECT_LT(search.passed_over[0].broke->reserve, 0);
    EXPECT_FALSE(search.passed_over[0].broke->is_promise);

    const std::string weak = with(text, "\"0.6 W\"", "\"0.25 W\"");
    EXPECT_NE(verdict_of(text), Verdict::broken);
    EXPECT_EQ(verdict_of(weak), Verdict::broken);
    EXPECT_EQ(search.found->text, "2.7 kΩ ± 5 %, 600 mW");
    EXPECT_EQ(verdict_of(pull.text), search.found->verdict);
    EXPECT_GE(search.found->least.reserve, 0);
}

TEST(PartsToPull, PassesOverTheNearestValueThatBreaksAPromise) {
    // By the ratio 2.2 kΩ is nearer to 1 kΩ than 390 Ω is, but lights the coupler too weakly for a
    // pull-up of 1.5 kΩ.
    const std::string text = with(plain_link(), "\"10 kΩ ± 5 %\"", "\"1.5 kΩ ± 5 %\"");
    const std::string drawer =
        "kind,value,tolerance,power,count,card,note\n"
        "resistor,1.5 kΩ,5 %,0.25 W,1,,\n"
        "resistor,390 Ω,5 %,0.25 W,3,,\n"
        "resistor,2.2 kΩ,5 %,0.25 W,3,,\n"
        "coupler,,,,,four-pin-coupler-b,\n";
    const auto pull = pulled(text, drawer).value();
    const ReplacementSearch& search = item_of(pull, "R1").instead.at(0);
    ASSERT_TRUE(search.found);
    EXPECT_EQ(search.found->text, "390 Ω ± 5 %, 250 mW");
    ASSERT_EQ(search.passed_over.size(), 1U);
    EXPECT_EQ(search.passed_over[0].text, "2.2 kΩ ± 5 %, 250 mW");
    ASSERT_TRUE(search.passed_over[0].broke);
    EXPECT_TRUE(search.passed_over[0].broke->is_promise);
    EXPECT_EQ(search.passed_over[0].broke->state, "on");
    EXPECT_EQ(verdict_of(with(text, "\"1 kΩ ± 5 %\"", "\"2.2 kΩ ± 5 %\"")), Verdict::broken);
    EXPECT_EQ(verdict_of(with(text, "\"1 kΩ ± 5 %\"", "\"390 Ω ± 5 %\"")), search.found->verdict);
    EXPECT_EQ(verdict_of(pull.text), search.found->verdict);
}

TEST(PartsToPull, TwoResistorsWhereNoSingleOneHolds) {
    const std::string drawer =
        "kind,value,tolerance,power,count,card,note\n"
        "resistor,10 kΩ,5 %,0.25 W,9,,\n"
        "resistor,12 Ω,5 %,0.25 W,1,,\n"
        "resistor,470 Ω,5 %,0.25 W,1,,\n"
        "resistor,560 Ω,5 %,0.25 W,1,,\n"
        "coupler,,,,,four-pin-coupler-b,\n";
    // Narrow enough that neither 470 nor 560 Ω will do.
    const std::string text = plain_link() + R"([[promise]]
state = "on"
current = "R1"
at_least = "6 mA"
at_most = "10 mA"
reserve = "0 %"
)";
    const auto pull = pulled(text, drawer).value();
    const ReplacementSearch& search = item_of(pull, "R1").instead.at(0);
    ASSERT_TRUE(search.found);
    EXPECT_EQ(search.found->text, "470 Ω + 560 Ω");
    EXPECT_EQ(search.found->joint, Joint::series);
    ASSERT_EQ(search.found->sources.size(), 2U);
    EXPECT_EQ(search.found->sources[0].line, 4U);
    EXPECT_EQ(search.found->sources[1].line, 5U);
    EXPECT_GE(search.passed_over.size(), 4U);
    EXPECT_NE(verdict_of(pull.text), Verdict::broken);
}

TEST(PartsToPull, NoneKeeps) {
    const std::string drawer =
        "kind,value,tolerance,power,count,card,note\n"
        "resistor,10 kΩ,5 %,0.25 W,1,,\n"
        "resistor,1 Ω,5 %,0.25 W,1,,\n"
        "resistor,100 kΩ,5 %,0.25 W,1,,\n"
        "coupler,,,,,four-pin-coupler-b,\n";
    const auto pull = pulled(plain_link(), drawer).value();
    const PullItem& item = item_of(pull, "R1");
    EXPECT_EQ(item.missing, Names{"R1"});
    const ReplacementSearch& search = item.instead.at(0);
    EXPECT_EQ(search.end, SearchEnd::none_keeps);
    EXPECT_FALSE(search.found);
    ASSERT_TRUE(search.nearest);
    const auto& nearest = search.passed_over[*search.nearest];
    for (const auto& miss : search.passed_over) {
        ASSERT_TRUE(miss.broke) << miss.message;
        EXPECT_LE(miss.broke->reserve, nearest.broke->reserve);
    }
    EXPECT_LT(nearest.broke->reserve, 0);
    EXPECT_FALSE(nearest.broke->subject.empty());
    EXPECT_TRUE(pull.text.empty());
}

TEST(PartsToPull, SeveralReplacementsHoldTogether) {
    std::string drawer = without(example_drawer(), "resistor,10 kΩ");
    drawer = without(without(drawer, "resistor,330 Ω"), "resistor,12 kΩ,5 %,0.25 W");
    drawer += "resistor,12 kΩ,5 %,0.25 W,1,,\n";
    const auto pull = pulled(example("bell-hammer"), drawer).value();
    EXPECT_EQ(item_of(pull, "R1").instead.size(), 1U);
    const PullItem& item = item_of(pull, "R2");
    ASSERT_EQ(item.instead.size(), 2U);
    ASSERT_TRUE(item.instead[0].found && item.instead[1].found);
    EXPECT_EQ(item.instead[0].designator, "R2");
    EXPECT_EQ(item.instead[0].found->text, "12 kΩ ± 5 %, 250 mW");
    EXPECT_EQ(item.instead[1].found->text, "8.2 kΩ ± 5 %, 250 mW");  // there was but one of 12 kΩ
    EXPECT_EQ(verdict_of(pull.text), item.instead[1].found->verdict);
}

TEST(PartsToPull, TransistorByAnotherCardOfItsPolarity) {
    const std::string drawer = without(example_drawer(), "transistor,,,,8,npn-medium");
    const auto pull = pulled(example("bell-hammer"), drawer).value();
    const ReplacementSearch& search = item_of(pull, "Q1").instead.at(0);
    ASSERT_TRUE(search.found);
    EXPECT_EQ(search.found->sources.at(0).look.card, "npn-small");
    EXPECT_EQ(search.found->text, search.found->sources[0].look.text);
    EXPECT_TRUE(search.passed_over.empty());
    const Link link = link_of(pull.text);
    EXPECT_EQ(link.parts[*link.find_part("Q1")].description.card, "npn-small");
    EXPECT_EQ(verdict_of(pull.text), search.found->verdict);

    const auto only_pnp =
        pulled(example("bell-hammer"), without(drawer, "transistor,,,,25,npn-small")).value();
    const ReplacementSearch& none = item_of(only_pnp, "Q1").instead.at(0);
    EXPECT_EQ(none.end, SearchEnd::none_at_hand);
    EXPECT_TRUE(none.passed_over.empty());
}

TEST(PartsToPull, HalvesOfAPairArePartsOfTheirOwn) {
    const std::string text = example("lamp-watch");
    const auto whole = pulled(text, example_drawer()).value();
    EXPECT_EQ(item_of(whole, "U1 emitter").look.card, "white-lamp-led");
    EXPECT_EQ(item_of(whole, "U1 receiver").look.kind, Kind::light_dependent_resistor);
    EXPECT_EQ(item_of(whole, "U1 receiver").sources.size(), 1U);

    const std::string drawer = without(example_drawer(), "light-dependent resistor,,,,2,ldr-11mm");
    const auto pull = pulled(text, drawer).value();
    const ReplacementSearch& search = item_of(pull, "U1 receiver").instead.at(0);
    ASSERT_TRUE(search.found);
    EXPECT_EQ(pull.text, with(text, "\"ldr-11mm\"", "\"ldr-5mm\""));
    EXPECT_EQ(search.found->verdict, Verdict::thin);
    EXPECT_EQ(verdict_of(pull.text), Verdict::thin);

    // The small one lets less current through: asked for more, it is no replacement.
    const std::string asking = with(text, "\"3 mA\"", "\"4 mA\"");
    const auto none = pulled(asking, drawer).value();
    const ReplacementSearch& failed = item_of(none, "U1 receiver").instead.at(0);
    EXPECT_EQ(failed.end, SearchEnd::none_keeps);
    ASSERT_EQ(failed.passed_over.size(), 1U);
    EXPECT_EQ(failed.nearest, 0U);
    EXPECT_EQ(failed.passed_over[0].broke.value().subject, "current D1");
    EXPECT_EQ(failed.passed_over[0].broke->bound, 4e-3);
    EXPECT_NE(verdict_of(asking), Verdict::broken);
}

// An infrared emitter stands before it in the drawer, and would keep every promise unseen.
TEST(PartsToPull, AnIndicatorIsReplacedByOneThatIsSeen) {
    const std::string text = example("lamp-watch");
    const auto pull = pulled(text, without(example_drawer(), "led,,,,12,red-led")).value();
    const ReplacementSearch& search = item_of(pull, "D1").instead.at(0);
    ASSERT_TRUE(search.found);
    EXPECT_TRUE(search.passed_over.empty());
    EXPECT_EQ(search.found->sources.at(0).look.card, "white-lamp-led");
    EXPECT_EQ(search.found->sources[0].note, "spare dial lamps");
    EXPECT_EQ(pull.text, with(text, "\"red-led\"", "\"white-lamp-led\""));
    EXPECT_EQ(verdict_of(pull.text), search.found->verdict);
    EXPECT_NE(verdict_of(with(text, "\"red-led\"", "\"infrared-led\"")), Verdict::broken);
}

TEST(PartsToPull, AnEmitterIsReplacedWithinItsPair) {
    const std::string text = example("lamp-watch");
    const std::string drawer =
        with(example_drawer(), "led,,,,5,white-lamp-led", "led,,,,5,white-led");
    const auto pull = pulled(text, drawer).value();
    const ReplacementSearch& search = item_of(pull, "U1 emitter").instead.at(0);
    ASSERT_TRUE(search.found);
    EXPECT_EQ(search.designator, "U1 emitter");
    EXPECT_EQ(pull.text, with(text, "\"white-lamp-led\"", "\"white-led\""));
    EXPECT_NE(verdict_of(pull.text), Verdict::broken);
}

TEST(PartsToPull, AnLedWithFiguresOfItsOwnHasNoReplacement) {
    const std::string text = with(example("lamp-watch"), "D1 = { card = \"red-led\" }",
                                  "D1 = { card = \"red-led\", forward = \"1.8 V at 10 mA\" }");
    const auto pull = pulled(text, without(example_drawer(), "led,,,,12,red-led")).value();
    EXPECT_EQ(item_of(pull, "D1").instead.at(0).end, SearchEnd::not_looked_for);
    const auto plain =
        pulled(example("lamp-watch"), without(example_drawer(), "led,,,,12,red-led")).value();
    EXPECT_NE(item_of(plain, "D1").instead.at(0).end, SearchEnd::not_looked_for);
}

TEST(PartsToPull, ALinkThatIsBrokenHasNoReplacementsButSaysWhy) {
    const std::string text = with(plain_link(), "\"0.8 V\"", "\"1 mV\"");
    ASSERT_EQ(verdict_of(text), Verdict::broken);
    const auto pull = pulled(text, without(example_drawer(), "resistor,1 kΩ")).value();
    EXPECT_EQ(item_of(pull, "R1").instead.at(0).end, SearchEnd::link_broken);
    ASSERT_TRUE(pull.broken);
    EXPECT_EQ(pull.broken->bound, 1e-3);
    EXPECT_LT(pull.broken->reserve, 0);
    EXPECT_FALSE(pulled(plain_link(), without(example_drawer(), "resistor,1 kΩ")).value().broken);
}

TEST(PartsToPull, WhatBreaksAPromiseIsNotTriedAgainAtAnotherPower) {
    const std::string drawer =
        "kind,value,tolerance,power,count,card,note\n"
        "resistor,100 kΩ,5 %,0.25 W,1,,\n"
        "resistor,100 kΩ,5 %,0.6 W,1,,\n"
        "resistor,10 kΩ,,0.25 W,1,,\n"
        "coupler,,,,,four-pin-coupler-b,\n";
    const std::string text = with(plain_link(), "\"10 kΩ ± 5 %\"", "\"10 kΩ\"");
    const auto pull = pulled(text, drawer, {.most_pairs = 0}).value();
    EXPECT_EQ(item_of(pull, "R1").instead.at(0).passed_over.size(), 1U);
}

TEST(PartsToPull, StopsWhenAsked) {
    std::stop_source stop;
    stop.request_stop();
    PullOptions options;
    options.engine.stop = stop.get_token();
    const auto pull =
        pulled(example("bell-hammer"), without(example_drawer(), "resistor,330 Ω"), options);
    ASSERT_FALSE(pull);
    EXPECT_TRUE(pull.error().stopped);
}

TEST(PartsToPull, RefusesAValueStillToBeChosen) {
    const auto pull =
        pulled(with(plain_link(), "\"1 kΩ ± 5 %\", power = \"0.25 W\"", "\"choose\""), {});
    ASSERT_FALSE(pull);
    ASSERT_FALSE(pull.error().problems.empty());
    EXPECT_EQ(pull.error().problems[0].cause, Cause::missing_key);
}

TEST(NamedDrawer, IsTheOneOfTheFileOrNone) {
    const auto need = examples + "/needs";
    const auto drawer = named_drawer({.drawer = ChosenText{"drawer.csv", {}}}, need);
    ASSERT_TRUE(drawer && *drawer);
    EXPECT_GT((*drawer)->rows.size(), 80U);
    EXPECT_FALSE(named_drawer({}, need).value());
    const auto lost = named_drawer({.drawer = ChosenText{"lost.csv", {}}}, need);
    ASSERT_FALSE(lost);
    EXPECT_EQ(lost.error()[0].cause, Cause::unreadable_file);
}

}  // namespace
}  // namespace gapwright
