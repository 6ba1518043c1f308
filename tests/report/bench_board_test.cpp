// The board at the bench: the picture holds the leads where the words say, for every reading.
#include "report/pictures/bench_board.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <pugixml.hpp>

#include "board/plan_board.hpp"
#include "build/wiring_of_link.hpp"
#include "report/bench_report.hpp"
#include "report/words/bench_points.hpp"

namespace gapwright {
namespace {

struct Laid {
    Link link;
    Wiring wiring;
    Plan plan;
};

Laid laid(const std::string& name, BoardKind kind) {
    Link link = *read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml");
    Wiring wiring = wiring_of(link);
    Plan plan = *plan_board(wiring, {.kind = kind, .starts = 1});
    return {std::move(link), std::move(wiring), std::move(plan)};
}

// The texts of a picture's groups of a class, or all of its texts.
std::vector<std::string> texts(const Picture& picture, const std::string& group = {}) {
    pugi::xml_document document;
    const std::string svg = picture.svg(false);
    EXPECT_TRUE(document.load_buffer(svg.data(), svg.size()));
    std::vector<std::string> words;
    const std::string path = group.empty() ? "//text" : "//g[@class='" + group + "']/text";
    for (const auto& found : document.select_nodes(path.c_str())) {
        words.emplace_back(found.node().child_value());
    }
    return words;
}

bool says(const Picture& picture, const std::string& words) {
    return std::ranges::any_of(texts(picture), [&](const std::string& text) {
        return text.find(words) != std::string::npos;
    });
}

// Whether a hole's conductor is the node's: one of its pins stands there.
bool is_at(const Laid& of, const std::string& hole, Side side, Node node) {
    const std::size_t first = side == Side::input ? 0 : of.link.input.node_names.size();
    for (std::size_t k = 0; k < of.wiring.parts.size(); ++k) {
        for (std::size_t p = 0; p < of.wiring.parts[k].pins.size(); ++p) {
            if (of.wiring.parts[k].pins[p].node != first + to_index(node)) continue;
            if (hole_name(of.plan.board, of.plan.holes[k][p]) == hole) return true;
        }
    }
    return false;
}

struct Counts {
    int held = 0;
    int lifted = 0;
    int off = 0;
    int opened = 0;
};

// One lead of a voltage, a resistance or an isolation.
void expect_lead(const Laid& of, const Picture& picture, bool red, const MeterPoint& words,
                 Side side, Node node, Counts& counts) {
    const std::string colour = red ? "red" : "black";
    const auto told = texts(picture, "probe " + colour);
    if (told.empty()) {
        EXPECT_TRUE(words.holes.empty()) << words.name;
        ++counts.off;
        return;
    }
    ASSERT_EQ(told.size(), 1U);
    if (told[0] == colour + ", lifted leg") {
        EXPECT_TRUE(words.name.ends_with("'s lifted lead")) << words.name;
        ++counts.lifted;
        return;
    }
    ASSERT_TRUE(told[0].starts_with(colour + " ")) << told[0];
    const std::string hole = told[0].substr(colour.size() + 1);
    EXPECT_TRUE(is_at(of, hole, side, node)) << told[0] << " for " << words.name;
    if (!words.holes.empty()) {
        EXPECT_NE((words.hole_words() + " ").find(" " + hole + " "), std::string::npos)
            << told[0] << ", but " << words.hole_words();
    }
    ++counts.held;
}

void expect_current(const Picture& picture, Counts& counts) {
    const auto meter = texts(picture, "probe");
    if (!meter.empty()) {
        EXPECT_EQ(std::ranges::count(meter, "A"), 1);
        ++counts.opened;
        return;
    }
    EXPECT_EQ(texts(picture, "probe black"), std::vector<std::string>{"black, lifted leg"});
    EXPECT_EQ(texts(picture, "probe red").size(), 1U);
    ++counts.lifted;
}

TEST(BenchBoard, HoldsEveryLeadWhereTheWordsSay) {
    Counts counts;
    for (const char* name : {"bell-hammer", "chime-bus", "lamp-watch", "winder-motor"}) {
        for (const BoardKind kind : board_kinds) {
            const Laid of = laid(name, kind);
            const NodeHoles holes = node_holes_of(of.link, of.wiring, of.plan);
            for (const Measurement& m : measurements_of(of.link)) {
                SCOPED_TRACE(fmt::format("{} {} {}", name, m.state, m.measure));
                const auto drawn = meter_on_board(of.link, of.wiring, of.plan, m, {});
                if (!drawn) continue;
                if (m.kind == MeasurementKind::current) {
                    expect_current(drawn->picture, counts);
                    continue;
                }
                const LeadPoints words = MeterPoints(of.link, holes).of(m);
                const bool across = crosses_gap(m);
                if (m.all_input || m.all_output) continue;  // below
                const Side plus = across ? Side::input : m.side;
                const Side minus = across ? Side::output : m.side;
                const bool turned = across && m.reversed;
                expect_lead(of, drawn->picture, !turned, turned ? words.black : words.red, plus,
                            m.plus, counts);
                expect_lead(of, drawn->picture, turned, turned ? words.red : words.black, minus,
                            m.minus, counts);
                EXPECT_EQ(
                    drawn->note.empty(),
                    !words.red.holes.empty() == !words.black.holes.empty() || m.lifted.has_value());
            }
        }
    }
    EXPECT_GT(counts.held, 200);
    EXPECT_GT(counts.lifted, 20);
    EXPECT_GT(counts.opened, 10);
    EXPECT_GT(counts.off, 0);
}

TEST(BenchBoard, AllOfASideClippedTogetherIsRingedAtEveryNode) {
    const Laid of = laid("bell-hammer", BoardKind::strip);
    const auto all = measurements_of(of.link);
    const auto m = std::ranges::find_if(
        all, [](const Measurement& one) { return one.all_input && one.all_output; });
    ASSERT_NE(m, all.end());
    const auto drawn = meter_on_board(of.link, of.wiring, of.plan, *m, {});
    ASSERT_TRUE(drawn);
    pugi::xml_document document;
    const std::string svg = drawn->picture.svg(false);
    ASSERT_TRUE(document.load_buffer(svg.data(), svg.size()));
    for (const Side side : {Side::input, Side::output}) {
        std::set<std::size_t> nodes;
        for (const WiringPart& part : of.wiring.parts) {
            for (const WiringPin& pin : part.pins) {
                if (pin.node && of.wiring.nodes[*pin.node].side == side) nodes.insert(*pin.node);
            }
        }
        const bool red = (side == Side::input) != m->reversed;
        const auto rings = document.select_nodes(red ? "//g[@class='probe rings red']/circle"
                                                     : "//g[@class='probe rings black']/circle");
        EXPECT_EQ(rings.size(), nodes.size());
        EXPECT_GE(rings.size(), 3U);
    }
}

TEST(BenchBoard, SaysWhatIsSetAndTakenOffAndFramesSuspects) {
    const Laid of = laid("bell-hammer", BoardKind::solderless);
    for (const Measurement& m : measurements_of(of.link)) {
        const auto drawn = meter_on_board(of.link, of.wiring, of.plan, m, {});
        if (!drawn) continue;
        EXPECT_EQ(says(drawn->picture, "P1, taken off"), m.state == unpowered) << m.measure;
        EXPECT_EQ(says(drawn->picture, "supply −, taken off"), m.state == unpowered) << m.measure;
        EXPECT_EQ(says(drawn->picture, "P1, high"), m.state == "on") << m.measure;
        EXPECT_EQ(says(drawn->picture, "a lead off"), m.off.has_value()) << m.measure;
        EXPECT_EQ(drawn->picture.svg(false).find("class=\"suspect\""), std::string::npos);
    }
    const auto frames = [&](const std::vector<std::string>& names) {
        std::vector<std::size_t> parts;
        for (const auto& name : names) parts.push_back(*of.link.find_part(name));
        const auto drawn =
            meter_on_board(of.link, of.wiring, of.plan, measurements_of(of.link).front(), parts);
        const std::string svg = drawn->picture.svg(false);
        int count = 0;
        for (std::size_t at = 0; (at = svg.find("class=\"suspect\"", at)) != std::string::npos;
             ++at)
            ++count;
        return count;
    };
    EXPECT_EQ(frames({"R1"}), 1);
    EXPECT_EQ(frames({"R2", "Q1", "U1"}), 3);
    EXPECT_EQ(frames({"K1"}), 2);  // stands elsewhere: both of its leads
}

}  // namespace
}  // namespace gapwright
