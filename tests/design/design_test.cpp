// Designs of whole files: what is found holds, is proven, is best among its neighbours, and what
// cannot be is told.
#include "design/design.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <set>
#include <sstream>

#include "design/judging/limits.hpp"
#include "design/values/fill_values.hpp"
#include "design/values/open_stock.hpp"
#include "design_support.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

// --- the six needs ---

class Needs : public testing::TestWithParam<std::string> {};

// The two that are quick, or all.
std::vector<std::string> needs_to_meet() {
    return testing_support::how_many<std::vector<std::string>>({"pendulum-beat", "chime-bus"},
                                                               example_needs());
}

// Every line of one text stands in the other, in order.
bool keeps_lines(const std::string& text, const std::string& of) {
    std::istringstream lines(of);
    std::istringstream all(text);
    std::string there;
    for (std::string line; std::getline(lines, line);) {
        // A draft that states a third state tells the duty of each.
        if (line.starts_with("duty") && text.find("duty = {") != std::string::npos) continue;
        bool found = false;
        while (!found && std::getline(all, there)) found = there == line;
        if (!found) return false;
    }
    return true;
}

void expect_proven(const Answer& answer) {
    const auto link = link_of(answer.text);
    ASSERT_TRUE(link) << to_text(link.error()) << answer.text;
    const Proof again = proven(*link, quick().samples);
    ASSERT_EQ(again.promises.size(), answer.proof->promises.size());
    ASSERT_EQ(again.ratings.size(), answer.proof->ratings.size());
    EXPECT_EQ(again.verdict, answer.proof->verdict);
    // The same bits.
    for (std::size_t k = 0; k < again.promises.size(); ++k) {
        EXPECT_EQ(again.promises[k].lowest, answer.proof->promises[k].lowest);
        EXPECT_EQ(again.promises[k].highest, answer.proof->promises[k].highest);
        EXPECT_EQ(again.promises[k].kept, answer.proof->promises[k].kept);
    }
    for (std::size_t k = 0; k < again.ratings.size(); ++k) {
        EXPECT_EQ(again.ratings[k].worst(), answer.proof->ratings[k].worst());
    }
    EXPECT_EQ(answer.limit.reserve, least_reserve(again));
    EXPECT_EQ(answer.broken.empty(), again.verdict != Verdict::broken);
}

// Resistors are those of the drawer, and no more of them than it holds.
void expect_in_drawer(const Answer& answer, const Drawer& drawer) {
    std::map<long, unsigned> left;  // by mΩ
    for (const auto& row : drawer.rows) {
        if (row.kind == Kind::resistor) {
            left[std::lround(row.value->nominal * 1e3)] += row.count.value();
        }
    }
    for (const auto& part : answer.link.parts) {
        if (part.description.kind != Kind::resistor) continue;
        auto& count = left[std::lround(part.description.find(Key::value)->spread.nominal * 1e3)];
        EXPECT_GT(count, 0U) << part.name;
        --count;
    }
}

// Parts but those of the user's own circuits: drive and load.
void expect_cards_in_drawer(const Answer& answer, const Drawer& drawer) {
    std::set<std::string> cards;
    for (const auto& row : drawer.rows) cards.insert(row.card);
    const std::set<Kind> own = {Kind::contact,     Kind::logic_output, Kind::coil,
                                Kind::logic_input, Kind::load,         Kind::resistor};
    for (const auto& part : answer.link.parts) {
        const Description& d = part.description;
        if (own.contains(d.kind)) continue;
        if (d.kind == Kind::pair) {
            EXPECT_TRUE(cards.contains(d.emitter->card)) << part.name;
            EXPECT_TRUE(cards.contains(d.receiver->card)) << part.name;
        } else {
            EXPECT_TRUE(cards.contains(d.card)) << part.name << ' ' << d.card;
        }
    }
}

TEST_P(Needs, AreMetByWhatIsProven) {
    const auto design = design_file(need_file(GetParam()), quick());
    ASSERT_TRUE(design) << told(design.error());
    ASSERT_FALSE(design->answers.empty());
    EXPECT_FALSE(design->stopped);
    EXPECT_TRUE(design->skipped.empty());
    EXPECT_NE(design->answers.front().proof->verdict, Verdict::broken);
    const Drawer drawer = example_drawer();
    std::set<Character> seen;
    for (const auto& answer : design->answers) {
        SCOPED_TRACE(answer.text);
        expect_proven(answer);
        EXPECT_TRUE(keeps_lines(answer.text, example_text(GetParam())));
        EXPECT_FALSE(answer.characters.empty());
        // A name may be true of several; each answer stands for one that none before it has.
        bool own = false;
        for (const Character character : answer.characters) {
            own = seen.insert(character).second || own;
        }
        EXPECT_TRUE(own);
        EXPECT_EQ(answer.parts, answer.link.parts.size());
        expect_in_drawer(answer, drawer);
        if (std::ranges::find(answer.characters, Character::from_drawer) !=
            answer.characters.end()) {
            expect_cards_in_drawer(answer, drawer);
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Averley, Needs, testing::ValuesIn(needs_to_meet()), [](const auto& named) {
    std::string name = named.param;
    std::erase(name, '-');
    return name;
});

// However many threads look.
TEST(Design, IsTheSameEveryTime) {
    std::vector<std::string> texts;
    for (const unsigned threads : {1U, 3U}) {
        DesignOptions options = quick();
        options.engine.threads = threads;
        const auto design = design_file(need_file("chime-bus"), options);
        ASSERT_TRUE(design) << told(design.error());
        std::string all;
        for (const auto& answer : design->answers) all += answer.text;
        texts.push_back(all);
    }
    EXPECT_EQ(texts[0], texts[1]);
}

// --- neighbours ---

// Every set next to the found one: each resistor, and all together, up to two choices below and
// above. None that is kept bears clearly more stretch, up to plenty: what counts after it is good
// practice, parts and current.
void expect_best_of_neighbours(const std::string& open_text, const Answer& answer) {
    const auto source = std::make_shared<const SourceText>("open.link.toml", open_text);
    const auto link = link_of(open_text);
    ASSERT_TRUE(link) << to_text(link.error());
    const auto stock = open_stock(link->stock, needs_folder);
    ASSERT_TRUE(stock) << to_text(stock.error());
    std::vector<std::size_t> parts;
    std::vector<std::size_t> taken;
    for (const auto& value : answer.values) {
        parts.push_back(link->find_part(value.part).value());
        // Of those that are called alike the first.
        const auto choice = std::ranges::find(
            stock->choices, value.text, [&](const Choice& c) { return choice_text(*stock, c); });
        ASSERT_NE(choice, stock->choices.end()) << value.text;
        taken.push_back(static_cast<std::size_t>(choice - stock->choices.begin()));
    }
    std::vector<std::vector<std::size_t>> sets;
    const auto moved = [&](const std::vector<int>& by) {
        std::vector<std::size_t> set = taken;
        for (std::size_t k = 0; k < set.size(); ++k) {
            const auto at = static_cast<std::ptrdiff_t>(set[k]) + by[k];
            if (at < 0 || at >= static_cast<std::ptrdiff_t>(stock->choices.size())) return;
            set[k] = static_cast<std::size_t>(at);
        }
        sets.push_back(set);
    };
    for (const int by : {-2, -1, 1, 2}) {
        for (std::size_t k = 0; k < taken.size(); ++k) {
            std::vector<int> alone(taken.size(), 0);
            alone[k] = by;
            moved(alone);
        }
        moved(std::vector<int>(taken.size(), by));
        std::vector<int> apart(taken.size(), -by);
        apart.front() = by;
        if (apart.size() > 1) moved(apart);
    }
    ASSERT_TRUE(answer.proof->stretch);
    const double stretch = answer.proof->stretch->stretch.factor;
    constexpr double close = 0.15;  // a grid's step, and what a quick look may miss
    std::size_t looked_at = 0;
    for (const auto& set : sets) {
        std::vector<ValueToFill> values;
        std::vector<std::uint32_t> choices;
        std::string words;
        for (std::size_t k = 0; k < set.size(); ++k) {
            choices.push_back(static_cast<std::uint32_t>(set[k]));
            values.push_back(value_to_fill(*stock, stock->choices[set[k]], parts[k]));
            words += choice_text(*stock, stock->choices[set[k]]) + "; ";
        }
        if (!in_stock(*stock, choices)) continue;
        ++looked_at;
        const auto filled = link_of(fill_values(source, *link, values));
        ASSERT_TRUE(filled) << to_text(filled.error());
        const Proof proof = proven(*filled, 100);
        if (proof.verdict != Verdict::kept || !proof.stretch) continue;
        EXPECT_LE(std::min(proof.stretch->stretch.factor, plenty_of_stretch), stretch + close)
            << words;
    }
    EXPECT_GE(looked_at, 4 * taken.size());
}

// The window of each value: a proof of the link with a value just inside holds, just outside it is
// broken, and by the bound that is named.
TEST(Windows, EndWhereAProofSaysThatSomethingBreaks) {
    const auto design = design_file(need_file("pendulum-beat"), quick());
    ASSERT_TRUE(design) << told(design.error());
    const Answer& answer = design->answers.front();
    int ends = 0;
    for (const auto& value : answer.values) {
        ASSERT_TRUE(value.window);
        const auto proven_at = [&](double ohms) {
            Link link = answer.link;
            auto& spread = link.parts[link.find_part(value.part).value()]
                               .description.figures[Key::value]
                               .spread;
            const double ratio = ohms / value.value.nominal;
            spread = {ohms, value.value.lowest * ratio, value.value.highest * ratio};
            return proven(link, 1000);
        };
        constexpr double aside = 1.01;
        const auto end = [&](double holds, double breaks, const std::string& named) {
            EXPECT_GE(least_reserve(proven_at(holds)), 0) << value.part << " " << holds;
            const Proof broken = proven_at(breaks);
            EXPECT_LT(least_reserve(broken), 0) << value.part << " " << breaks;
            const Limit worst = limits_of(broken).front();
            EXPECT_TRUE(named.starts_with(worst.subject)) << named << " / " << worst.subject;
            ++ends;
        };
        const ValueWindow& w = *value.window;
        if (!w.open_below) end(w.holds_from * aside, w.holds_from / aside, w.ends_below);
        if (!w.open_above) end(w.holds_to / aside, w.holds_to * aside, w.ends_above);
    }
    EXPECT_EQ(ends, 4);
}

TEST(Neighbours, OfANeedsFirstAnswerStretchNoFurther) {
    const auto design = design_file(need_file("pendulum-beat"), quick());
    ASSERT_TRUE(design) << told(design.error());
    const Answer& answer = design->answers.front();
    ASSERT_TRUE(answer.draft);
    expect_best_of_neighbours(answer.draft->text, answer);
}

const std::string two_to_choose = R"(title = "Two"
[surroundings]
temperature = "0 .. 50 °C"
[input]
supply = "9 V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > data", "data > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "choose" }
R2 = { kind = "resistor", value = "choose" }
U1 = { card = "four-pin-coupler-b" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = "data"
at_most = "0.8 V"
[[promise]]
state = "off"
voltage = "data"
at_least = "4 V"
[[promise]]
state = "on"
current = "R1"
at_least = "3 mA"
at_most = "12 mA"
[[promise]]
state = "on"
current = "R2"
at_least = "0.2 mA"
at_most = "1 mA"
[choose]
drawer = "drawer.csv"
)";

TEST(Neighbours, OfALinksFirstAnswerStretchNoFurther) {
    DesignOptions options = quick();
    const auto design = designed(two_to_choose, options);
    ASSERT_TRUE(design) << told(design.error());
    expect_best_of_neighbours(two_to_choose, design->answers.front());
}

// --- stopping ---

TEST(DesignStop, BeforeTheStartGivesNothing) {
    std::stop_source source;
    source.request_stop();
    DesignOptions options = quick();
    options.engine.stop = source.get_token();
    const auto need = design_file(need_file("chime-bus"), options);
    ASSERT_FALSE(need);
    EXPECT_TRUE(need.error().stopped);
    EXPECT_TRUE(need.error().problems.empty());
    const auto link = designed(two_to_choose, options);
    ASSERT_FALSE(link);
    EXPECT_TRUE(link.error().stopped);
}

TEST(DesignStop, LaterGivesTheBestSoFar) {
    for (const std::string& text : {example_text("chime-bus"), two_to_choose}) {
        std::stop_source source;
        DesignOptions options = quick();
        options.engine.stop = source.get_token();
        options.progress = [&](const DesignProgress& progress) {
            if (progress.best) source.request_stop();
        };
        const auto design = designed(text, options);
        ASSERT_TRUE(design) << told(design.error());
        EXPECT_TRUE(design->stopped);
        ASSERT_FALSE(design->answers.empty());
        EXPECT_EQ(design->answers.front().proof->samples, options.samples);
        EXPECT_TRUE(link_of(design->answers.front().text));
    }
}

// --- what cannot be designed ---

std::vector<Cause> causes_of(const std::expected<Design, DesignFailure>& design) {
    std::vector<Cause> causes;
    if (design) return causes;
    for (const auto& problem : design.error().problems) causes.push_back(problem.cause);
    EXPECT_FALSE(design.error().stopped);
    return causes;
}

TEST(DesignProblems, NameTheirCause) {
    using Causes = std::vector<Cause>;
    EXPECT_EQ(causes_of(designed(plain_link())), Causes{Cause::missing_key});  // nothing to choose
    EXPECT_EQ(causes_of(designed(with(two_to_choose, "drawer.csv", "none.csv"))),
              Causes{Cause::unreadable_file});
    EXPECT_EQ(causes_of(designed(with(example_text("chime-bus"), "drawer.csv", "none.csv"))),
              Causes{Cause::unreadable_file});
    EXPECT_EQ(
        causes_of(designed(with(two_to_choose, "at_least = \"3 mA\"", "at_least = \"13 mA\""))),
        Causes{Cause::contradiction});
    EXPECT_EQ(causes_of(design_file(needs_folder + "/none.link.toml", quick())),
              Causes{Cause::unreadable_file});
}

TEST(DesignProblems, TellAnEmptyDrawer) {
    const Folder folder;
    folder.write("drawer.csv", "kind,value,tolerance,power,count,card,note\n");
    for (const std::string& text : {two_to_choose, example_text("chime-bus")}) {
        const auto design = design_file(folder.write("test.link.toml", text), quick());
        EXPECT_EQ(causes_of(design), std::vector<Cause>{Cause::missing_key});
    }
}

TEST(DesignProblems, TellWhatBreaksWhereNothingHolds) {
    const auto design = designed(with(plain_need(), "pull_in = \"8.4 V\"", "pull_in = \"15 V\""));
    ASSERT_TRUE(design) << told(design.error());
    ASSERT_EQ(design->answers.size(), 1U);
    const Answer& answer = design->answers.front();
    EXPECT_EQ(answer.proof->verdict, Verdict::broken);
    ASSERT_FALSE(answer.broken.empty());
    EXPECT_EQ(answer.broken.front().reserve, answer.limit.reserve);
    EXPECT_LT(answer.limit.reserve, 0);
}

}  // namespace
}  // namespace gapwright
