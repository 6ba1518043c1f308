// What paths join, what `check` solves, what the wiring says and what a board's plan joins are the
// same, for every kind of part and every terminal that a path can name. What is to be joined is
// read from the link's text, what is joined from the plan's file, both by readers of the test's
// own.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include "board/plan_board.hpp"
#include "build/link_terminals.hpp"
#include "build/plan_file.hpp"
#include "build/plan_terminals.hpp"
#include "build/terminal_links.hpp"
#include "build/wiring_of_link.hpp"
#include "card/key.hpp"
#include "link/link_circuit.hpp"
#include "reference/made_networks.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_terminals;
using testing_support::LinkTerminals;
using testing_support::plan_terminals;

using Joined = std::map<std::string, std::string>;  // the conductor of each terminal

// The same terminals, and two of them joined in one where they are joined in the other.
void expect_same(const Joined& expected, const Joined& found, const std::string& what) {
    Joined there;
    Joined back;
    for (const auto& [terminal, node] : expected) {
        const auto at = found.find(terminal);
        if (at == found.end()) {
            ADD_FAILURE() << what << ": " << terminal << ", of the node " << node << ", is missing";
            continue;
        }
        const auto& conductor = there.emplace(node, at->second).first->second;
        EXPECT_EQ(conductor, at->second)
            << what << ": " << terminal << " is not joined to " << node;
        const auto& other = back.emplace(at->second, node).first->second;
        EXPECT_EQ(other, node) << what << ": " << terminal << " is joined to " << other;
    }
    for (const auto& [terminal, conductor] : found) {
        EXPECT_TRUE(expected.contains(terminal)) << what << ": nobody asked for " << terminal;
    }
}

// By part and end, as the circuit that is solved has them.
Joined solved(const Link& link, const LinkCircuit& circuit) {
    Joined nodes;
    for (const Side side : {Side::input, Side::output}) {
        for (std::size_t k = 0; k < link.parts.size(); ++k) {
            const auto& probes = circuit.of(k, side);
            if (!probes) continue;
            const Description& d = link.parts[k].description;
            const std::string name =
                (link.parts[k].is_gap() ? std::string(side_name(side)) + " " : "") +
                link.parts[k].name;
            const auto put = [&](const std::string& end, Node node) {
                nodes[name + " " + end] = fmt::format("{} {}", side_name(side), to_index(node));
            };
            if (d.kind != Kind::logic_output) put("from", probes->main.plus);
            put("to", probes->main.minus);
            if (!probes->control) continue;
            const bool mirrored =
                d.choice(Key::polarity, "npn") == "pnp" || d.choice(Key::channel, "n") == "p";
            const Node control = mirrored ? probes->control->minus : probes->control->plus;
            // A base that no path names has a node of its own inside the part.
            if (to_index(control) < link.side(side).node_names.size()) put("control", control);
        }
    }
    return nodes;
}

// By part and pin; a pin on no node is alone.
Joined wired(const Wiring& wiring) {
    Joined nodes;
    for (const auto& part : wiring.parts) {
        for (const auto& pin : part.pins) {
            const std::string name = part.name + " " + pin.name;
            nodes[name] = pin.node ? std::to_string(*pin.node) : "nothing but " + name;
        }
    }
    return nodes;
}

std::vector<std::string> pins_of(const std::string& part, const LinkTerminals& link) {
    const std::map<char, std::string> words{{'e', "emitter"}, {'b', "base"},  {'c', "collector"},
                                            {'g', "gate"},    {'d', "drain"}, {'s', "source"}};
    std::vector<std::string> pins;
    for (const char pin : link.rows.at(part)) pins.push_back(part + " " + words.at(pin));
    return pins;
}

// Three pins in a row, in the order that their card states; a coupler's rows three pitches apart,
// pin 1 at the top on the input side, and on from there downwards and up the other side.
void expect_bodies(const LinkTerminals& link, const testing_support::PlanTerminals& plan,
                   const std::string& what) {
    const auto apart = [&](const std::string& a, const std::string& b) {
        const auto [u1, v1] = plan.place.at(a);
        const auto [u2, v2] = plan.place.at(b);
        return std::pair(u2 - u1, v2 - v1);
    };
    for (const auto& [part, order] : link.rows) {
        const auto pins = pins_of(part, link);
        const auto first = apart(pins[0], pins[1]);
        EXPECT_EQ(first, apart(pins[1], pins[2])) << what << ": " << part;
        EXPECT_EQ(std::abs(first.first) + std::abs(first.second), 1) << what << ": " << part;
    }
    for (const auto& [pin, node] : link.pins) {
        if (!pin.ends_with(" 1 anode")) continue;
        const std::string name = pin.substr(0, pin.size() - 8);
        EXPECT_EQ(apart(pin, name + " 2 cathode"), std::pair(0, 1)) << what;
        if (plan.place.contains(name + " 6 base")) {
            EXPECT_EQ(apart(pin, name + " 3 unused"), std::pair(0, 2)) << what;
            EXPECT_EQ(apart(pin, name + " 6 base"), std::pair(3, 0)) << what;
            EXPECT_EQ(apart(pin, name + " 5 collector"), std::pair(3, 1)) << what;
            EXPECT_EQ(apart(pin, name + " 4 emitter"), std::pair(3, 2)) << what;
        } else {
            EXPECT_EQ(apart(pin, name + " 4 collector"), std::pair(3, 0)) << what;
            EXPECT_EQ(apart(pin, name + " 3 emitter"), std::pair(3, 1)) << what;
        }
    }
}

// Circuit and wiring of a text, and on these boards plans of one start.
void expect_joined(const std::string& text, const std::vector<BoardKind>& boards,
                   const std::string& what) {
    const LinkTerminals expected = link_terminals(text);
    const auto link = testing_support::link_from(text);
    ASSERT_TRUE(link) << what << '\n' << to_text(link.error()) << text;
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit) << what << '\n' << to_text(circuit.error());
    expect_same(expected.ends, solved(*link, *circuit), what + ", check");
    const Wiring wiring = wiring_of(*link);
    expect_same(expected.pins, wired(wiring), what + ", wiring");
    for (const BoardKind kind : boards) {
        const std::string where = fmt::format("{}, {}", what, board_kind_word(kind));
        const auto plan = plan_board(wiring, {.kind = kind, .starts = 1, .insists = false});
        ASSERT_TRUE(plan) << where << ": " << plan.error().message << '\n' << text;
        const auto found = plan_terminals(plan_csv(*plan, wiring));
        for (const auto& mistake : found.mistakes) ADD_FAILURE() << where << ": " << mistake;
        expect_same(expected.pins, found.conductor, where);
        expect_bodies(expected, found, where);
    }
}

const std::vector<BoardKind> all_boards{std::begin(board_kinds), std::end(board_kinds)};

// As many links as there are variants hold each on both sides.
TEST(Terminals, OfEveryKindOfPartAreJoinedInCheckInWiringAndOnBoards) {
    const std::size_t each = testing_support::part_variants().size();
    std::set<std::string> held;
    for (std::uint64_t number = 0; number < testing_support::how_many(1U, 10U) * each; ++number) {
        const auto made = testing_support::terminal_link(number);
        held.insert(made.held.begin(), made.held.end());
        expect_joined(made.text, all_boards, fmt::format("link {}", number));
        if (HasFailure()) FAIL() << made.text;
    }
    for (const auto& variant : testing_support::part_variants()) {
        EXPECT_TRUE(held.contains("input " + variant.name)) << variant.name;
        EXPECT_TRUE(held.contains("output " + variant.name)) << variant.name;
    }
    for (const auto& variant : testing_support::gap_variants()) {
        EXPECT_TRUE(held.contains("gap " + variant.name)) << variant.name;
    }
}

// Without a search for places, as many more.
TEST(Terminals, OfManyMoreLinksAreJoinedInCheckAndInWiring) {
    for (std::uint64_t number = 1000; number < testing_support::how_many(1100U, 4000U); ++number) {
        const auto made = testing_support::terminal_link(number);
        expect_joined(made.text, {}, fmt::format("link {}", number));
        if (HasFailure()) FAIL() << made.text;
    }
}

// Links that work, as the second solver's tests draw them.
TEST(Terminals, OfLinksThatWorkAreJoinedInCheckAndInWiring) {
    for (std::uint64_t seed = 1; seed <= testing_support::how_many(100U, 500U); ++seed) {
        expect_joined(file_text(reference::made_network(seed)), {}, fmt::format("seed {}", seed));
        if (HasFailure()) FAIL() << file_text(reference::made_network(seed));
    }
}

TEST(Terminals, OfEveryExampleAreJoinedInCheckInWiringAndOnBoards) {
    std::size_t seen = 0;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (entry.path().extension() != ".toml") continue;
        std::ifstream file(entry.path());
        std::stringstream text;
        text << file.rdbuf();
        expect_joined(text.str(), all_boards, entry.path().filename());
        ++seen;
    }
    EXPECT_EQ(seen, 6U);
}

}  // namespace
}  // namespace gapwright
