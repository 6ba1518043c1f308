// SVG that any text leaves well-formed, and axes.
#include "draw/picture.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <pugixml.hpp>

#include "draw/axes.hpp"
#include "draw/dimension_line.hpp"
#include "draw/plots.hpp"
#include "draw/schematic.hpp"

namespace gapwright {
namespace {

bool well_formed(const std::string& svg) {
    pugi::xml_document document;
    return static_cast<bool>(document.load_buffer(svg.data(), svg.size()));
}

TEST(Picture, AnyTextLeavesItWellFormed) {
    const std::string texts[] = {
        "<b>&\"'</b>", "]]>",   "\u202Eright to left", "\x01\x02", "\xFF\xC3",
        "R1 ± 5 % Ω",  "&amp;", std::string("a\0b", 3)};
    for (const auto& words : texts) {
        Picture picture(words, words);
        picture.text({10, 10}, words, "name");
        pugi::xml_document document;
        const std::string svg = picture.svg(true);
        ASSERT_TRUE(document.load_buffer(svg.data(), svg.size())) << words;
        EXPECT_EQ(svg.find("\u202E"), std::string::npos);
    }
    Picture picture("t", "d");
    picture.text({0, 0}, "a < b & c", "");
    pugi::xml_document document;
    const std::string svg = picture.svg(false);
    ASSERT_TRUE(document.load_buffer(svg.data(), svg.size()));
    EXPECT_STREQ(document.child("svg").child("text").text().get(), "a < b & c");
    EXPECT_STREQ(document.child("svg").child("title").text().get(), "t");
}

TEST(Picture, FrameHoldsEverythingDrawn) {
    Picture picture("t", "d");
    picture.line({{-50, 0}, {10, 20}}, "ink");
    picture.text({100, 100}, "far", "", Anchor::end);
    const Box& e = picture.extent();
    EXPECT_LE(e.left, -50);
    EXPECT_GE(e.right, 99);
    EXPECT_EQ(picture.text_boxes().size(), 1U);
}

TEST(Axes, TicksAreOneTwoFive) {
    const auto ticks = tick_values({.low = 0, .high = 5.2, .label = ""}, 6);
    ASSERT_GE(ticks.size(), 3U);
    const double step = ticks[1] - ticks[0];
    const double mantissa = step / std::pow(10.0, std::floor(std::log10(step) + 1e-9));
    EXPECT_TRUE(std::abs(mantissa - 1) < 1e-9 || std::abs(mantissa - 2) < 1e-9 ||
                std::abs(mantissa - 5) < 1e-9)
        << mantissa;
    const auto decades =
        tick_values({.low = 1e-9, .high = 1e-3, .label = "", .logarithmic = true}, 10);
    EXPECT_EQ(decades.size(), 7U);
}

TEST(Axes, TemperaturesAreRoundInDegreesCelsius) {
    for (const int wanted : {3, 4, 6, 9}) {
        const auto ticks = tick_values(
            {.low = 242.65, .high = 363.65, .dimension = Dimension::temperature, .label = ""},
            wanted);
        ASSERT_GE(ticks.size(), 2U) << wanted;
        for (const double tick : ticks) {
            const double fives = (tick - 273.15) / 5;
            EXPECT_NEAR(fives, std::round(fives), 1e-9) << wanted;
        }
    }
}

TEST(Axes, PlacesValues) {
    const Axes axes({.low = 0, .high = 10, .label = ""}, {.low = 0, .high = 1, .label = ""},
                    {0, 0, 100, 50});
    EXPECT_NEAR(axes.at(5, 0.5).x, 50, 1e-9);
    EXPECT_NEAR(axes.at(5, 0.5).y, 25, 1e-9);
    EXPECT_NEAR(axes.at(50, -1).x, 100, 1e-9);
}

// Found by fuzzing: a strand that leads back to its own node.
TEST(Schematic, AStrandFromANodeToItselfIsDrawn) {
    for (const char* node : {"supply", "return", "x"}) {
        SchematicInput input;
        input.input.strands = {
            {node, node, {SchematicPart{.name = "R1", .notes = {}, .control_node = {}}}}};
        EXPECT_TRUE(well_formed(draw_schematic(input).svg(true))) << node;
    }
}

TEST(DimensionLine, NamesItsMeasureBetweenItsFeet) {
    for (const double right : {15.0, 200.0}) {
        Picture picture("d", "d");
        draw_dimension(picture, 0, right, 50, 20, "12 mm");
        ASSERT_EQ(picture.text_boxes().size(), 1U);
        const Box& text = picture.text_boxes()[0];
        EXPECT_NEAR((text.left + text.right) / 2, right / 2, 1e-9);
        EXPECT_TRUE(well_formed(picture.svg(false)));
    }
}

TEST(Plots, AreWellFormedAndLabelsDoNotOverlap) {
    std::vector<Point> line;
    std::vector<Point> bent;
    for (int k = 0; k <= 50; ++k) {
        line.push_back({k * 0.1, 0.004 - k * 0.0001});
        bent.push_back({k * 0.1, 0.003 * (1 - std::exp(-k / 3.0))});
    }
    const Picture plots[] = {
        draw_load_lines(
            {.title = "x",
             .x = {.low = 0, .high = 5, .label = "voltage"},
             .y = {.low = 0, .high = 5e-3, .dimension = Dimension::current, .label = "i"},
             .curves = {{"load", "curve", line}, {"nominal", "curve amber", bent}},
             .marks = {{"on", {0.5, 0.0024}}},
             .largest_x = 4.0,
             .largest_y = {}}),
        draw_histogram({.title = "h",
                        .x = {.low = 0, .high = 1, .label = "v"},
                        .first = 0.1,
                        .bar = 0.1,
                        .counts = {1, 2, 1},
                        .specimens = 4,
                        .at_least = 0.15,
                        .at_most = 0.9,
                        .nominal = 0.2}),
        draw_margins("m", {{.label = "a",
                            .value_text = "1 of at most 2",
                            .bound = 2,
                            .worst = 1,
                            .nominal = 0.8,
                            .at_least = false,
                            .drawn = {0.7, 0.9},
                            .standing = Standing::kept}}),
        draw_life(
            {.title = "l", .years = {0, 5}, .curves = {{"light", "curve", {{0, 1}, {5, 0.8}}}}}),
    };
    for (const auto& plot : plots) {
        EXPECT_TRUE(well_formed(plot.svg(true)));
        const auto& texts = plot.text_boxes();
        for (std::size_t a = 0; a < texts.size(); ++a) {
            for (std::size_t b = a + 1; b < texts.size(); ++b) {
                EXPECT_FALSE(texts[a].overlaps(texts[b])) << a << " " << b;
            }
        }
    }
}

TEST(Histogram, BarsNarrowerThanAPixelAreStillRectangles) {
    const Picture picture = draw_histogram({.title = "narrow",
                                            .x = {.low = 0, .high = 1, .label = "v"},
                                            .first = 0.5,
                                            .bar = 1e-6,
                                            .counts = std::vector<std::uint64_t>(40, 3),
                                            .specimens = 120,
                                            .at_least = {},
                                            .at_most = {},
                                            .nominal = 0.5});
    EXPECT_EQ(picture.svg(true).find("width=\"-"), std::string::npos);
}

}  // namespace
}  // namespace gapwright
