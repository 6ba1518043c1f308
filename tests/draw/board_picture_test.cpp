// The picture of a board: what its parts look like, names of holes, rails, and a meter on it.
#include "draw/board_picture.hpp"

#include <gtest/gtest.h>

#include <pugixml.hpp>

#include "board/hand_plans.hpp"
#include "board/plan_table.hpp"

namespace gapwright {
namespace {

using enum BandColour;
using testing_support::least_link;

struct Drawn {
    Picture picture;
    pugi::xml_document document = {};

    std::vector<pugi::xml_node> all(const std::string& path) const {
        std::vector<pugi::xml_node> nodes;
        for (const auto& found : document.select_nodes(path.c_str())) nodes.push_back(found.node());
        return nodes;
    }
    std::vector<std::string> texts(const std::string& within) const {
        std::vector<std::string> words;
        for (const auto& node : all(within + "//text")) words.emplace_back(node.child_value());
        return words;
    }
};

Drawn drawn(const PlanTable& table, BoardView view = {}) {
    const Wiring wiring = least_link();
    view.title = "The least link";
    Drawn result{board_picture(wiring, plan_of(table, wiring), view)};
    const std::string svg = result.picture.svg(true);
    EXPECT_TRUE(result.document.load_buffer(svg.data(), svg.size()));
    return result;
}

PlanTable solderless(int rows = 30) {
    PlanTable table = testing_support::solderless_by_hand();
    table.board = solderless_board(rows);
    return table;
}

std::size_t part(const std::string& name) {
    const auto parts = least_link().parts;
    return static_cast<std::size_t>(std::ranges::find(parts, name, &WiringPart::name) -
                                    parts.begin());
}

Hole hole(const std::string& name) {
    return *hole_named(solderless_board(30), name);
}

BoardView banded(const std::string& name, const ColourBands& bands) {
    BoardView view;
    view.bands.resize(least_link().parts.size());
    view.bands[part(name)] = bands;
    return view;
}

TEST(BoardPicture, NoTextIsSmallerThanElevenPixels) {
    for (const auto& table :
         {solderless(), testing_support::strip_by_hand(), testing_support::grid_by_hand()}) {
        const Drawn board = drawn(table);
        const auto texts = board.all("//text");
        EXPECT_GT(texts.size(), 20U);
        for (const auto& text : texts) {
            EXPECT_GE(text.attribute("font-size").as_double(), 11) << text.child_value();
        }
    }
}

TEST(BoardPicture, RowsAreNumberedAtBothEdgesAndColumnsAtBothEnds) {
    const Drawn whole = drawn(solderless());
    std::vector<std::string> rows;
    for (int row = 1; row <= 30; ++row) rows.push_back(std::to_string(row));
    const std::vector<std::string> columns = {"+", "−", "a", "b", "c", "d", "e",
                                              "f", "g", "h", "i", "j", "−", "+"};
    EXPECT_EQ(whole.texts("//g[@class='ruler left']"), rows);
    EXPECT_EQ(whole.texts("//g[@class='ruler right']"), rows);
    EXPECT_EQ(whole.texts("//g[@class='ruler head']"), columns);
    EXPECT_EQ(whole.texts("//g[@class='ruler foot']"), columns);
    // Of a stretch, which goes on below, there is no lower end.
    const Drawn stretch = drawn(solderless(), {.first_row = 4, .last_row = 8});
    EXPECT_EQ(stretch.texts("//g[@class='ruler left']"),
              (std::vector<std::string>{"5", "6", "7", "8", "9"}));
    EXPECT_TRUE(stretch.all("//g[@class='ruler foot']").empty());
}

TEST(BoardPicture, RowsAreNumberedBesideTheHolesWhereNothingLiesOverThem) {
    // Wires reach from the rails over the free columns in rows 6, 7 (aslant) and 11; leads of the
    // supplies end in the rails, that of the signal crosses in row 10.
    std::vector<std::string> expected;
    for (const std::vector<int>& over : {std::vector{6, 7, 11}, std::vector{6, 7, 10, 11}}) {
        for (int row = 1; row <= 30; ++row) {
            if (std::ranges::find(over, row) == over.end()) expected.push_back(std::to_string(row));
        }
    }
    EXPECT_EQ(drawn(solderless()).texts("//g[@class='ruler beside']"), expected);
    EXPECT_TRUE(
        drawn(testing_support::strip_by_hand()).texts("//g[@class='ruler beside']").empty());
    const auto beside = drawn(solderless(63)).texts("//g[@class='ruler beside']");
    EXPECT_EQ(std::ranges::count(beside, "31"), 2);
    EXPECT_EQ(std::ranges::count(beside, "32"), 0);  // the break is told there
}

// Rails alone are paths of metal.
TEST(BoardPicture, RailsOfTheLargerBoardShowTheirBreak) {
    const Drawn small = drawn(solderless(30));
    EXPECT_EQ(small.all("//path[@class='metal']").size(), 4U);
    const Drawn large = drawn(solderless(63));
    EXPECT_EQ(large.all("//path[@class='metal']").size(), 8U);  // two halves each
    const auto words = large.texts("");
    EXPECT_EQ(std::ranges::count(words, "break"), 2);
    EXPECT_EQ(std::ranges::count(small.texts(""), "break"), 0);
    EXPECT_EQ(large.all("//line[@class='cut']").size(), 8U);  // two strokes in each of four rails
    // A stretch shows it only where it lies in it.
    EXPECT_EQ(
        drawn(solderless(63), {.first_row = 28, .last_row = 36}).all("//line[@class='cut']").size(),
        8U);
    EXPECT_TRUE(
        drawn(solderless(63), {.first_row = 2, .last_row = 9}).all("//line[@class='cut']").empty());
}

// A rail's metal is round where it ends (arcs), and straight where it goes on.
TEST(BoardPicture, RailsGoOnWhereAStretchEnds) {
    const auto arcs = [](const Drawn& board) {
        std::vector<std::ptrdiff_t> counts;
        for (const auto& rail : board.all("//path[@class='metal']")) {
            const std::string d = rail.attribute("d").value();
            counts.push_back(std::ranges::count(d, 'A'));
        }
        return counts;
    };
    using Counts = std::vector<std::ptrdiff_t>;
    EXPECT_EQ(arcs(drawn(solderless())), (Counts{2, 2, 2, 2}));
    EXPECT_EQ(arcs(drawn(solderless(), {.first_row = 4, .last_row = 8})), (Counts{0, 0, 0, 0}));
    EXPECT_EQ(arcs(drawn(solderless(), {.first_row = 0, .last_row = 8})), (Counts{1, 1, 1, 1}));
}

TEST(BoardPicture, ResistorsShowTheirBandsInTheOrderOfReading) {
    const Drawn board = drawn(solderless(), banded("R1", {yellow, violet, red, gold}));
    std::vector<std::string> colours;
    std::vector<double> places;
    for (const auto& stripe : board.all("//rect[starts-with(@class, 'stripe')]")) {
        colours.emplace_back(stripe.attribute("class").value());
        places.push_back(stripe.attribute("y").as_double());  // it lies upright
    }
    EXPECT_EQ(colours, (std::vector<std::string>{"stripe yellow", "stripe violet", "stripe red",
                                                 "stripe gold"}));
    ASSERT_EQ(places.size(), 4U);
    EXPECT_TRUE(std::ranges::is_sorted(places));
    EXPECT_GT(places[3] - places[2], 2 * (places[1] - places[0]));  // the tolerance stands apart
}

// Its name is read all the same; bands that would lie under it are left out.
TEST(BoardPicture, BandsNeverLieUnderTheName) {
    Wiring wiring = least_link();
    const std::size_t k = part("R1");
    PlanTable table = solderless();
    for (auto& row : table.pins) {  // lies level, where its name takes its length
        if (row.part == "R1") row.hole = row.pin == "1" ? "a6" : "e6";
    }
    for (const std::string name : {"R1", "R1_of_the_pendulum"}) {
        wiring.parts[k].name = name;
        for (auto& row : table.pins) {
            if (row.part.starts_with("R1")) row.part = name;
        }
        const Picture picture = board_picture(wiring, plan_of(table, wiring),
                                              banded("R1", {brown, black, orange, brown, red}));
        pugi::xml_document document;
        const std::string svg = picture.svg(false);
        ASSERT_TRUE(document.load_buffer(svg.data(), svg.size()));
        const auto stripes = document.select_nodes("//rect[starts-with(@class, 'stripe')]");
        EXPECT_EQ(stripes.size(), name == "R1" ? 5U : 0U) << name;
        EXPECT_NE(svg.find(">" + name + "<"), std::string::npos);
    }
}

TEST(BoardPicture, AMetersLeadsStandInTheirHoles) {
    const Drawn board =
        drawn(solderless(), {.meter = BoardMeter{.red = BoardProbe{.hole = hole("b6")},
                                                 .black = BoardProbe{.hole = hole("b10")}}});
    const auto tip = [&](const std::string& colour) {
        const auto tips = board.all("//g[@class='probe " + colour + "']/circle[@class='tip']");
        EXPECT_EQ(tips.size(), 1U);
        return Point{tips.at(0).attribute("cx").as_double(),
                     tips.at(0).attribute("cy").as_double()};
    };
    EXPECT_EQ(tip("red").y, 5 * 20);
    EXPECT_EQ(tip("black").y, 9 * 20);
    EXPECT_EQ(tip("red").x, tip("black").x);
    EXPECT_EQ(board.texts("//g[@class='probe red']"), std::vector<std::string>{"red b6"});
    EXPECT_EQ(board.texts("//g[@class='probe black']"), std::vector<std::string>{"black b10"});
    // Neither lead's words lie on the other's, nor on a part.
    const auto& texts = board.picture.text_boxes();
    for (const Box* words : {&texts[texts.size() - 1], &texts[texts.size() - 2]}) {
        for (const Box& other : board.picture.symbol_boxes()) EXPECT_FALSE(words->overlaps(other));
        for (const Box& other : texts) EXPECT_TRUE(&other == words || !words->overlaps(other));
    }
}

TEST(BoardPicture, ALiftedLegIsHeldBesideItsEmptyHole) {
    const Drawn board =
        drawn(solderless(),
              {.meter = BoardMeter{.red = BoardProbe{.hole = hole("b6"), .lifted = part("R1")},
                                   .black = BoardProbe{.hole = hole("b10")}}});
    const auto tips = board.all("//g[@class='probe red']/circle[@class='tip']");
    ASSERT_EQ(tips.size(), 1U);
    EXPECT_EQ(tips[0].attribute("cy").as_double(), 5 * 20 + 12);  // towards its body
    EXPECT_EQ(board.texts("//g[@class='probe red']"), std::vector<std::string>{"red, lifted leg"});
}

TEST(BoardPicture, SuspectsAreFramedAndNotesSaid) {
    BoardView view{.suspects = {part("R1"), part("signal")}};
    view.notes.resize(least_link().parts.size());
    view.notes[part("R2")] = "a lead off";
    view.notes[part("input supply")] = "taken off";
    const Drawn board = drawn(solderless(), view);
    EXPECT_EQ(board.all("//rect[@class='suspect']").size(), 2U);
    const auto words = board.texts("");
    EXPECT_EQ(std::ranges::count(words, "R2: a lead off"), 1);
    EXPECT_EQ(std::ranges::count(words, "input supply (1), taken off"), 1);
    EXPECT_TRUE(drawn(solderless()).all("//rect[@class='suspect']").empty());
}

TEST(BoardPicture, AnAmmeterStandsInTheLeadThatIsTakenOff) {
    for (const bool red_at_board : {true, false}) {
        const Drawn board =
            drawn(solderless(),
                  {.meter = BoardMeter{.in_lead = hole("L+1"), .red_at_board = red_at_board}});
        const auto meter = board.all("//g[@class='probe']/text");
        ASSERT_EQ(meter.size(), 3U);
        std::map<std::string, double> x;
        for (const auto& text : meter) x[text.child_value()] = text.attribute("x").as_double();
        // The lead leaves to the left: what is at the board stands further right.
        EXPECT_EQ(x.at("red") > x.at("A"), red_at_board);
        EXPECT_EQ(x.at("black") < x.at("A"), red_at_board);
    }
}

}  // namespace
}  // namespace gapwright
