// Limits as data sheets print them.
#include "card/sheet_limits.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "card/card_reading.hpp"
#include "card/description.hpp"
#include "support/card_folder.hpp"

namespace gapwright {
namespace {

Figure figure_of(const std::string& line, Key key) {
    const testing_support::CardFolder folder;
    const auto card = read_card(folder.write(
        "sheet.card.toml", "kind = \"coupler\"\nforward = \"1.2 V at 10 mA\"\n" + line + "\n"));
    if (!card) throw std::runtime_error(to_text(card.error()));
    return card->card.at(key);
}

void expect_spread(const Figure& figure, double nominal, double lowest, double highest) {
    EXPECT_NEAR(figure.spread.nominal, nominal, 1e-9 * nominal);
    EXPECT_NEAR(figure.spread.lowest, lowest, 1e-9 * lowest);
    EXPECT_NEAR(figure.spread.highest, highest, 1e-9 * highest);
}

TEST(SheetLimits, ALeastAloneReachesToWhatIsCommon) {
    for (const char* text : {"≥ 50 %", ">= 50 %", "min 50 %", "≥50%", "50 / - / - %"}) {
        const Figure ctr = figure_of(std::string("ctr = \"") + text + " at 5 mA, 5 V\"", Key::ctr);
        expect_spread(ctr, 0.5 * std::sqrt(6.0), 0.5, 3.0);
        EXPECT_TRUE(ctr.one_sided) << text;
        EXPECT_EQ(ctr.conditions, (std::vector<double>{5e-3, 5}));
    }
}

TEST(SheetLimits, AGreatestAlone) {
    const Figure dark =
        figure_of("ctr = \"100 % at 5 mA, 5 V\"\ndark_current = \"≤ 100 nA\"", Key::dark_current);
    expect_spread(dark, 100e-9 / std::sqrt(1000.0), 0.1e-9, 100e-9);
    EXPECT_TRUE(dark.one_sided);
}

TEST(SheetLimits, ColumnsAsTheyStand) {
    const Figure all = figure_of("ctr = \"50 / 120 / 600 % at 5 mA, 5 V\"", Key::ctr);
    expect_spread(all, 1.2, 0.5, 6);
    EXPECT_FALSE(all.one_sided);
    const Figure no_typical = figure_of("ctr = \"50 / - / 200 % at 5 mA, 5 V\"", Key::ctr);
    expect_spread(no_typical, 1, 0.5, 2);
    EXPECT_FALSE(no_typical.one_sided);
    const Figure typical_and_most =
        figure_of("ctr = \"100 % at 5 mA, 5 V\"\nideality = \"- / 1.6 / 2\"", Key::ideality);
    expect_spread(typical_and_most, 1.6, 0.5, 2);
    EXPECT_TRUE(typical_and_most.one_sided);
}

TEST(SheetLimits, WhatIsWrongIsTold) {
    const auto fails = [](const char* text, Cause cause) {
        const auto read = sheet_limits(text, Dimension::ratio, Key::ctr);
        ASSERT_TRUE(read) << text;
        ASSERT_FALSE(*read) << text;
        EXPECT_EQ(read->error().cause, cause) << text;
    };
    fails("≥ 50 V", Cause::wrong_unit);
    fails("- / 50 / - %", Cause::empty_spread);
    fails("200 / 100 / 300 %", Cause::empty_spread);
    fails("≥ -5 %", Cause::out_of_range);
    EXPECT_FALSE(sheet_limits("120 % (80 .. 160 %) at 5 mA, 5 V", Dimension::ratio, Key::ctr));
    EXPECT_FALSE(sheet_limits("0.5 V/µs", Dimension::voltage_rate, Key::ctr));
}

}  // namespace
}  // namespace gapwright
