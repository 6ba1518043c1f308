// The picture of value windows: well-formed, and no text over another, whatever the windows are.
#include "draw/value_window.hpp"

#include <gtest/gtest.h>

#include <pugixml.hpp>
#include <random>

namespace gapwright {
namespace {

ValueWindowRow emitter_row() {
    return {.part = "R1",
            .taken_text = "270 Ω + 22 Ω",
            .taken = 292,
            .lowest = 10,
            .highest = 1e6,
            .holds_from = 180,
            .holds_to = 592,
            .ends_below = "U1 forward current, on",
            .ends_above = "voltage supply to coil, on",
            .candidates = {220, 240, 270, 292, 300, 330, 360}};
}

void expect_clear(const Picture& picture) {
    const std::string svg = picture.svg(true);
    pugi::xml_document document;
    EXPECT_TRUE(document.load_buffer(svg.data(), svg.size()));
    EXPECT_EQ(svg.find("width=\"-"), std::string::npos);
    EXPECT_EQ(svg.find("nan"), std::string::npos);
    const auto& texts = picture.text_boxes();
    for (std::size_t a = 0; a < texts.size(); ++a) {
        for (std::size_t b = a + 1; b < texts.size(); ++b) {
            EXPECT_FALSE(texts[a].overlaps(texts[b])) << a << " " << b << "\n" << svg;
        }
    }
}

TEST(ValueWindows, OneRow) {
    const Picture picture = draw_value_windows({.title = "w", .rows = {emitter_row()}});
    expect_clear(picture);
    const std::string svg = picture.svg(false);
    for (const char* part : {"270 Ω + 22 Ω", "below 180 Ω: U1 forward current, on",
                             "above 592 Ω: voltage supply to coil, on", "forbidden", "kept",
                             ">200 Ω<", ">500 Ω<", "R1"}) {
        EXPECT_NE(svg.find(part), std::string::npos) << part;
    }
}

TEST(ValueWindows, WhereNoValueHoldsTheWholeRowIsForbidden) {
    auto row = emitter_row();
    row.holds_from = 2;
    row.holds_to = 1;
    const Picture picture = draw_value_windows({.title = "w", .rows = {row}});
    expect_clear(picture);
    const std::string svg = picture.svg(false);
    EXPECT_NE(svg.find("no value holds"), std::string::npos);
    EXPECT_EQ(svg.find("\"kept\""), std::string::npos);
}

TEST(ValueWindows, FitAScreenAndASheet) {
    std::vector<ValueWindowRow> rows(8, emitter_row());
    rows[3].ends_above = "voltage between signal and the return of the output, state leaking";
    const Picture picture = draw_value_windows({.title = "w", .rows = rows});
    expect_clear(picture);
    const Box& extent = picture.extent();
    EXPECT_LT(extent.right - extent.left, 720);
    EXPECT_LT(extent.bottom - extent.top, 720);
}

TEST(ValueWindows, AnyWindowsLeaveTextsClear) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> decade(1, 6);
    const auto value = [&] { return std::pow(10.0, decade(random)); };
    for (int k = 0; k < 200; ++k) {
        ValueWindowPlot plot{.title = "w", .rows = {}};
        for (int r = 0; r <= k % 5; ++r) {
            auto row = emitter_row();
            row.taken = value();
            row.holds_from = value();
            row.holds_to = value();
            if (k % 3 == 0) row.ends_below.clear();
            if (k % 4 == 0) row.holds_to = row.holds_from;
            row.candidates = {row.taken, value()};
            plot.rows.push_back(row);
        }
        expect_clear(draw_value_windows(plot));
    }
    ValueWindowPlot one{.title = "w", .rows = {emitter_row()}};
    one.rows[0].lowest = one.rows[0].highest = one.rows[0].taken = 100;
    one.rows[0].holds_from = one.rows[0].holds_to = 100;
    one.rows[0].candidates.clear();
    expect_clear(draw_value_windows(one));
}

}  // namespace
}  // namespace gapwright
