#include "design/values/stock.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "value_support.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

Stock stock_from(std::vector<DrawerRow> rows) {
    Drawer drawer;
    drawer.rows = std::move(rows);
    return stock_of(drawer, "the drawer");
}

std::size_t number_of(const Stock& stock, const std::string& text) {
    const auto at = std::ranges::find_if(
        stock.choices, [&](const Choice& c) { return choice_text(stock, c) == text; });
    return static_cast<std::size_t>(at - stock.choices.begin());
}

const Choice& named(const Stock& stock, const std::string& text) {
    return stock.choices.at(number_of(stock, text));
}

TEST(Stock, OffersEveryJointThatTheTestMakesAndNoOther) {
    const std::vector<DrawerRow> rows = {resistor_row(100, 0.05, 0.25, 2U),
                                         resistor_row(220, 0.01, {}, 1U),
                                         resistor_row(470, 0.1, 0.1)};
    const Stock stock = stock_from(rows);
    auto made = made_choices(rows, 3);
    ASSERT_EQ(stock.choices.size(), made.size());
    for (const auto& choice : stock.choices) {
        const auto at = std::ranges::find_if(made, [&](const MadeChoice& m) {
            const auto used = choice.used();
            return std::ranges::equal(m.rows, used) &&
                   std::abs(m.value.nominal / choice.value.nominal - 1) < 1e-12;
        });
        ASSERT_NE(at, made.end()) << choice_text(stock, choice);
        EXPECT_NEAR(choice.value.lowest, at->value.lowest, 1e-9);
        EXPECT_NEAR(choice.value.highest, at->value.highest, 1e-9);
        ASSERT_EQ(choice.power.has_value(), at->power.has_value());
        if (choice.power) {
            EXPECT_NEAR(*choice.power, *at->power, 1e-12);
        }
        made.erase(at);
    }
}

TEST(Stock, AsksNoMoreOfTheDrawerThanItHolds) {
    const Stock stock = stock_from({resistor_row(100, 0.05, {}, 2U), resistor_row(220, 0.05)});
    EXPECT_EQ(number_of(stock, "100 Ω + 100 Ω + 100 Ω"), stock.choices.size());
    EXPECT_LT(number_of(stock, "220 Ω + 220 Ω + 220 Ω"), stock.choices.size());
    const auto one = static_cast<std::uint32_t>(number_of(stock, "100 Ω"));
    const auto two = static_cast<std::uint32_t>(number_of(stock, "100 Ω ∥ 100 Ω"));
    const auto other = static_cast<std::uint32_t>(number_of(stock, "220 Ω"));
    EXPECT_TRUE(in_stock(stock, std::vector{one, one, other, other}));
    EXPECT_TRUE(in_stock(stock, std::vector{two, other}));
    EXPECT_FALSE(in_stock(stock, std::vector{one, two}));
    EXPECT_FALSE(in_stock(stock, std::vector{one, one, one}));
}

TEST(Stock, GivesAJointTheTolerancesOfItsParts) {
    const Stock stock = stock_from({resistor_row(100, 0.1), resistor_row(300, 0.01)});
    const Choice& series = named(stock, "100 Ω + 300 Ω");
    EXPECT_DOUBLE_EQ(series.value.nominal, 400);
    EXPECT_DOUBLE_EQ(series.value.lowest, 90 + 297);
    EXPECT_DOUBLE_EQ(series.value.highest, 110 + 303);
    const Choice& parallel = named(stock, "100 Ω ∥ 300 Ω");
    EXPECT_DOUBLE_EQ(parallel.value.nominal, 75);
    EXPECT_NEAR(parallel.value.lowest, 90.0 * 297 / 387, 1e-9);
    EXPECT_NEAR(parallel.value.highest, 110.0 * 303 / 413, 1e-9);
    EXPECT_FALSE(series.power);
}

TEST(Stock, LetsAJointTakeWhatItsHardestPressedPartMay) {
    // Exact values: in series the larger has three quarters of the power, in parallel the smaller.
    const Stock exact = stock_from({resistor_row(100, 0, 0.25), resistor_row(300, 0, 0.25)});
    EXPECT_NEAR(*named(exact, "100 Ω + 300 Ω").power, 0.25 / 0.75, 1e-12);
    EXPECT_NEAR(*named(exact, "100 Ω ∥ 300 Ω").power, 0.25 / 0.75, 1e-12);
    EXPECT_NEAR(*named(exact, "100 Ω + 100 Ω + 100 Ω").power, 0.75, 1e-12);
    // One of two alike parts may be 10 % larger, the other 10 % smaller.
    const Stock loose = stock_from({resistor_row(100, 0.1, 0.25)});
    EXPECT_NEAR(*named(loose, "100 Ω + 100 Ω").power, 0.25 / (110.0 / 200), 1e-12);
    // A part without a stated power limits nothing.
    const Stock half = stock_from({resistor_row(100, 0, 0.25), resistor_row(300, 0)});
    EXPECT_NEAR(*named(half, "100 Ω + 300 Ω").power, 0.25 / 0.25, 1e-12);
}

}  // namespace
}  // namespace gapwright
