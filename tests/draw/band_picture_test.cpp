// The picture of a banded resistor: every band in its class, its word below it, nothing overlaps.
#include "draw/band_picture.hpp"

#include <gtest/gtest.h>

#include <pugixml.hpp>

namespace gapwright {
namespace {

using enum BandColour;

struct Drawn {
    std::string svg;
    std::vector<std::string> stripes;  // classes
    std::vector<double> middles;
};

Drawn drawn(const Picture& picture) {
    Drawn result{.svg = picture.svg(true), .stripes = {}, .middles = {}};
    pugi::xml_document document;
    EXPECT_TRUE(document.load_buffer(result.svg.data(), result.svg.size()));
    for (const auto& found : document.select_nodes("//rect[starts-with(@class, 'stripe')]")) {
        const auto node = found.node();
        result.stripes.emplace_back(node.attribute("class").value());
        result.middles.push_back(node.attribute("x").as_double() +
                                 node.attribute("width").as_double() / 2);
    }
    return result;
}

void expect_clear(const Picture& picture) {
    const auto& texts = picture.text_boxes();
    const Box body = picture.symbol_boxes().front();
    for (std::size_t a = 0; a < texts.size(); ++a) {
        EXPECT_FALSE(texts[a].overlaps(body));
        for (std::size_t b = a + 1; b < texts.size(); ++b) {
            EXPECT_FALSE(texts[a].overlaps(texts[b])) << a << " " << b;
        }
    }
}

TEST(BandPicture, ShowsEveryBandAndItsWord) {
    const ColourBands bands = {yellow, violet, red, gold};
    const Picture picture = draw_banded_resistor({"R2, R3", "4.7 kΩ ± 5 %, 0.25 W", bands});
    expect_clear(picture);
    const auto result = drawn(picture);
    EXPECT_EQ(result.stripes, (std::vector<std::string>{"stripe yellow", "stripe violet",
                                                        "stripe red", "stripe gold"}));
    for (const BandColour colour : bands) {
        EXPECT_NE(result.svg.find(">" + std::string(colour_name(colour)) + "<"), std::string::npos);
    }
    EXPECT_NE(result.svg.find("yellow violet red gold"), std::string::npos);  // for who hears it
    EXPECT_NE(result.svg.find("R2, R3"), std::string::npos);
    EXPECT_NE(result.svg.find("4.7 kΩ ± 5 %, 0.25 W"), std::string::npos);
}

TEST(BandPicture, SetsTheToleranceApartSoThatOneKnowsWhereToBegin) {
    for (const ColourBands& bands :
         {ColourBands{red, red, red, gold}, ColourBands{brown, black, black, red, brown}}) {
        const auto result = drawn(draw_banded_resistor({"R1", "", bands}));
        ASSERT_EQ(result.middles.size(), bands.size());
        const double usual = result.middles[1] - result.middles[0];
        const std::size_t last = bands.size() - 1;
        for (std::size_t k = 1; k < last; ++k) {
            EXPECT_NEAR(result.middles[k] - result.middles[k - 1], usual, 1e-9);
        }
        EXPECT_GT(result.middles[last] - result.middles[last - 1], 1.2 * usual);
    }
}

TEST(BandPicture, IsClearWithEveryColourAndWithThreeBands) {
    for (int first = 0; first < 12; ++first) {
        ColourBands bands;
        for (int k = 0; k < 5; ++k) bands.push_back(static_cast<BandColour>((first + k) % 12));
        expect_clear(draw_banded_resistor({"R1", "1 Ω", bands}));
    }
    const Picture three = draw_banded_resistor({"R1", "68 kΩ ± 20 %", {blue, grey, orange}});
    expect_clear(three);
    EXPECT_EQ(drawn(three).stripes.size(), 3U);
}

TEST(BandPicture, StyleKnowsEveryColour) {
    for (int k = 0; k < 12; ++k) {
        const auto colour = colour_name(static_cast<BandColour>(k));
        const std::string rule = ".picture .stripe." + std::string(colour) + " { fill: #";
        EXPECT_NE(picture_style().find(rule), std::string_view::npos) << rule;
    }
}

}  // namespace
}  // namespace gapwright
