// Spreads and their conditions, the upper half of units/quantity.hpp.
#include <gtest/gtest.h>

#include "units/quantity.hpp"

namespace gapwright {
namespace {

using D = Dimension;

struct SpreadCase {
    std::string_view text;
    D dimension;
    double nominal;
    double lowest;
    double highest;
};

TEST(Spread, IsReadInEachForm) {
    const SpreadCase cases[] = {
        {"330 Ω", D::resistance, 330, 330, 330},
        {"330 Ω ± 5 %", D::resistance, 330, 313.5, 346.5},
        {"330 Ω +- 5 %", D::resistance, 330, 313.5, 346.5},
        {"330 Ω +/- 5 %", D::resistance, 330, 313.5, 346.5},
        {"330Ω±5%", D::resistance, 330, 313.5, 346.5},
        {"4k7 ± 5 %", D::resistance, 4700, 4465, 4935},
        {"4k7±100Ω", D::resistance, 4700, 4600, 4800},
        {"4k7J", D::resistance, 4700, 4465, 4935},
        {"100RF", D::resistance, 100, 99, 101},
        {"4k7 .. 5k6", D::resistance, 5150, 4700, 5600},
        {"4k7..5.6 kΩ", D::resistance, 5150, 4700, 5600},
        {"4k7 (4k .. 5k)", D::resistance, 4700, 4000, 5000},
        {"330 Ω ± 0 %", D::resistance, 330, 330, 330},
        {"330 Ω ± 100 %", D::resistance, 330, 0, 660},
        {"9 V ± 0.5 V", D::voltage, 9, 8.5, 9.5},
        {"9 V ± 500 mV", D::voltage, 9, 8.5, 9.5},
        {"-9 V ± 10 %", D::voltage, -9, -9.9, -8.1},
        {"4.75 .. 5.25 V", D::voltage, 5, 4.75, 5.25},
        {"4.75 V .. 5.25 V", D::voltage, 5, 4.75, 5.25},
        {"500 mV .. 1.5 V", D::voltage, 1, 0.5, 1.5},
        {"100 .. 300 mV", D::voltage, 0.2, 0.1, 0.3},
        {"1..2 V", D::voltage, 1.5, 1, 2},
        {"1. .. 2 V", D::voltage, 1.5, 1, 2},
        {"0 .. 0 V", D::voltage, 0, 0, 0},
        {"-1e308 .. 1.5e308 V", D::voltage, 2.5e307, -1e308, 1.5e308},
        {"1.2 V (1.1 .. 1.35 V)", D::voltage, 1.2, 1.1, 1.35},
        {"1.2 V(1.1 V..1.35 V)", D::voltage, 1.2, 1.1, 1.35},
        {"5 V (5 .. 5 V)", D::voltage, 5, 5, 5},
        {"120 % (80 .. 160 %)", D::ratio, 1.2, 0.8, 1.6},
        {"1.2 (80 .. 160 %)", D::ratio, 1.2, 0.8, 1.6},
        {"300 (200 .. 500)", D::ratio, 300, 200, 500},
        {"3.2e-3 (1.6e-3 .. 6.4e-3)", D::ratio, 3.2e-3, 1.6e-3, 6.4e-3},
        {"300 ± 20", D::ratio, 300, 280, 320},
        {"200 % ± 50 %", D::ratio, 2, 1, 3},
        {"0.1 µA (0 .. 1 µA)", D::current, 1e-7, 0, 1e-6},
        {"-10 .. 45 °C", D::temperature, 290.65, 263.15, 318.15},
        {"25 °C ± 5 °C", D::temperature, 298.15, 293.15, 303.15},
        {"25 °C ± 5 K", D::temperature, 298.15, 293.15, 303.15},
        {"300 K ± 10 %", D::temperature, 300, 270, 330},
        {"-0.3 %/K ± 10 %", D::per_temperature, -0.003, -0.0033, -0.0027},
        {"0 .. 300 lx", D::illuminance, 150, 0, 300},
    };
    for (const SpreadCase& c : cases) {
        const auto spread = parse_spread(c.text, c.dimension);
        ASSERT_TRUE(spread) << c.text << ": " << spread.error().message;
        EXPECT_DOUBLE_EQ(spread->nominal, c.nominal) << c.text;
        EXPECT_DOUBLE_EQ(spread->lowest, c.lowest) << c.text;
        EXPECT_DOUBLE_EQ(spread->highest, c.highest) << c.text;
        EXPECT_LE(spread->lowest, spread->nominal) << c.text;
        EXPECT_LE(spread->nominal, spread->highest) << c.text;
        EXPECT_EQ(spread->varies(), c.lowest < c.highest) << c.text;
    }
}

struct RefusedCase {
    std::string_view text;
    D dimension;
    Cause cause;
    std::string_view wrong;
    std::string_view message;
};

void expect_refused(const RefusedCase& c, const TextError& error) {
    EXPECT_EQ(cause_name(error.cause), cause_name(c.cause)) << c.text;
    ASSERT_LE(error.begin, error.end) << c.text;
    ASSERT_LE(error.end, c.text.size()) << c.text;
    EXPECT_EQ(c.text.substr(error.begin, error.end - error.begin), c.wrong) << c.text;
    EXPECT_TRUE(error.message.starts_with(c.message)) << c.text << ": " << error.message;
}

TEST(Spread, SaysWhatIsWrongAndWhere) {
    const RefusedCase cases[] = {
        {"10 .. 5 Ω", D::resistance, Cause::empty_spread, "10 .. 5 Ω",
         "the lower limit lies above the upper"},
        {"5 Ω (6 .. 4 Ω)", D::resistance, Cause::empty_spread, "6 .. 4 Ω",
         "the lower limit lies above the upper"},
        {"5 Ω (6 .. 7 Ω)", D::resistance, Cause::empty_spread, "5 Ω (6 .. 7 Ω)",
         "the nominal lies outside its limits"},
        {"120 % (80 .. 160)", D::ratio, Cause::missing_unit, "160", "a share is stated in percent"},
        {"330 Ω ± 5", D::resistance, Cause::missing_unit, "5", "a tolerance needs a unit"},
        {"9 ± 0.5 V", D::voltage, Cause::missing_unit, "9", "a voltage needs a unit"},
        {"1 V .. 2", D::voltage, Cause::missing_unit, "2", "the upper limit needs the unit"},
        {"80 % .. 160", D::ratio, Cause::missing_unit, "160", "the upper limit needs the unit"},
        {"1 .. 2", D::voltage, Cause::missing_unit, "2", "a voltage needs a unit"},
        {"330 Ω ± 5 V", D::resistance, Cause::wrong_unit, "5 V", "a resistance is in ohms"},
        {"1 .. 2 A", D::voltage, Cause::wrong_unit, "2 A", "a voltage is in volts, not amperes"},
        {"1 A .. 2 V", D::voltage, Cause::wrong_unit, "1 A", "a voltage is in volts, not amperes"},
        {"1 V (0 .. 2 A)", D::voltage, Cause::wrong_unit, "2 A", "a voltage is in volts"},
        {"330 Ω ± -5 %", D::resistance, Cause::out_of_range, "-5 %", "a tolerance is never below"},
        {"9 V ± -1 V", D::voltage, Cause::out_of_range, "-1 V", "a tolerance is never below"},
        {"330 Ω ± 120 %", D::resistance, Cause::out_of_range, "330 Ω ± 120 %",
         "a resistance is never below zero"},
        {"-1 .. 5 Ω", D::resistance, Cause::out_of_range, "-1", "a resistance is never below zero"},
        {"5 K ± 10 K", D::temperature, Cause::out_of_range, "5 K ± 10 K", "this is below absolute"},
        {"-300 .. 5 °C", D::temperature, Cause::out_of_range, "-300", "this is below absolute"},
        {"1e308 V ± 900 %", D::voltage, Cause::out_of_range, "1e308 V ± 900 %", "this is more"},
        {"4k7J ± 5 %", D::resistance, Cause::not_a_quantity, "4k7J", "the last letter gives"},
        {"4k7J (4k .. 5k)", D::resistance, Cause::not_a_quantity, "4k7J", "the last letter gives"},
        {"4k7 .. 5k6J", D::resistance, Cause::not_a_quantity, "5k6J", "the last letter gives"},
        {"5 V ±", D::voltage, Cause::not_a_quantity, "", "a voltage is missing here"},
        {"5 V ..", D::voltage, Cause::not_a_quantity, "", "a voltage is missing here"},
        {".. 5 V", D::voltage, Cause::not_a_quantity, ".. 5 V", "\".. 5 V\" is not a voltage"},
        {"5 V ()", D::voltage, Cause::not_a_quantity, ")", "\")\" is not a voltage"},
        {"5 V (4)", D::voltage, Cause::not_a_quantity, "4", "a bracket holds the lower and the"},
        {"5 V (4 .. 6 V", D::voltage, Cause::not_a_quantity, "", "the bracket is not closed"},
        {"5 V (4 .. 6 V))", D::voltage, Cause::not_a_quantity, ")", "\")\" is not expected here"},
        {"5 V ± 5 % ± 5 %", D::voltage, Cause::not_a_quantity, "± 5 %", "\"± 5 %\" is not exp"},
        {"5 V - 6 V", D::voltage, Cause::not_a_quantity, "-", "between two limits stands \"..\""},
        {"1 ... 2 V", D::voltage, Cause::not_a_quantity, "...", "between two limits stands"},
        {"5 V ± 1,5 %", D::voltage, Cause::not_a_quantity, "1,5", "a point, not a comma"},
        {"5 V at 1 A", D::voltage, Cause::not_a_quantity, "at 1 A", "\"at 1 A\" is not expected"},
    };
    for (const RefusedCase& c : cases) {
        const auto spread = parse_spread(c.text, c.dimension);
        ASSERT_FALSE(spread) << c.text;
        expect_refused(c, spread.error());
    }
}

TEST(SpreadAt, HoldsItsConditions) {
    const D one[] = {D::current};
    const D two[] = {D::current, D::voltage};
    const auto forward = parse_spread_at("1.2 V (1.1 .. 1.35 V) at 10 mA", D::voltage, one);
    ASSERT_TRUE(forward);
    EXPECT_EQ(forward->spread.nominal, 1.2);
    EXPECT_EQ(forward->spread.highest, 1.35);
    EXPECT_EQ(forward->conditions, std::vector<double>{0.01});

    for (const char* text : {"120 % (80 .. 160 %) at 5 mA, 5 V", "1.2 (80..160 %)at 5mA,5V ",
                             "120 %\u00A0(80 .. 160 %)\u00A0at\u00A05 mA , 5 V"}) {
        const auto ratio = parse_spread_at(text, D::ratio, two);
        ASSERT_TRUE(ratio) << text << ": " << ratio.error().message;
        EXPECT_EQ(ratio->spread.lowest, 0.8) << text;
        EXPECT_EQ(ratio->conditions, (std::vector<double>{0.005, 5})) << text;
    }
    EXPECT_TRUE(parse_spread_at("300 at 5 mA", D::ratio, one));
    EXPECT_TRUE(parse_spread_at("300 ± 20 at 5 mA", D::ratio, one));
    EXPECT_TRUE(parse_spread_at("5 V ± 5 %", D::voltage, {}));
}

TEST(SpreadAt, SaysWhatIsMissingOrLeftOver) {
    const RefusedCase cases[] = {
        {"120 %", D::ratio, Cause::not_a_quantity, "", "\"at\" and a current are missing here"},
        {"120 % 5 mA", D::ratio, Cause::not_a_quantity, "5 mA", "\"at\" and a current are missing"},
        {"120 % at 5 mA", D::ratio, Cause::not_a_quantity, "", "a comma and a voltage are missing"},
        {"120 % at", D::ratio, Cause::not_a_quantity, "", "a current is missing here"},
        {"120 % at 5 mA,", D::ratio, Cause::not_a_quantity, "", "a voltage is missing here"},
        {"120 % at 5 mA, 5 V, 3 K", D::ratio, Cause::not_a_quantity, ", 3 K",
         "\", 3 K\" is not expected here"},
        {"120 % at 5 V, 5 mA", D::ratio, Cause::wrong_unit, "5 V",
         "a current is in amperes, not volts"},
        {"120 % at 5, 5 V", D::ratio, Cause::missing_unit, "5", "a current needs a unit"},
        {"120 % at 5 mA ± 5 %, 5 V", D::ratio, Cause::not_a_quantity, "± 5 %, 5 V",
         "a comma and a voltage are missing here"},
        {"at 5 mA, 5 V", D::ratio, Cause::not_a_quantity, "at", "\"at\" is not a ratio"},
        {"150 % (160 .. 80 %) at 5 mA, 5 V", D::ratio, Cause::empty_spread, "160 .. 80 %",
         "the lower limit lies above"},
    };
    const D conditions[] = {D::current, D::voltage};
    for (const RefusedCase& c : cases) {
        const auto spread = parse_spread_at(c.text, c.dimension, conditions);
        ASSERT_FALSE(spread) << c.text;
        expect_refused(c, spread.error());
        const bool about_form = spread.error().message.find("are missing") != std::string::npos;
        if (about_form) {
            EXPECT_EQ(spread.error().remedy, "write for example \"120 % at 20 mA, 5 V\"");
        }
    }
    const D ohms[] = {D::resistance};
    EXPECT_FALSE(parse_spread_at("120 % at 4k7J", D::ratio, ohms));
    EXPECT_TRUE(parse_spread_at("120 % at 4k7", D::ratio, ohms));
}

// Every way to cut, double or swap the pieces of good texts: no crash, no place outside the text,
// and where a spread comes out, its order holds.
TEST(Spread, HoldsItsPromisesForBrokenTexts) {
    const std::string_view texts[] = {
        "120 % (80 .. 160 %) at 5 mA, 5 V", "330 Ω ± 5 %",     "4k7J",        "-10 .. 45 °C",
        "\u22121.5e\u22123 V +- 0.5 mV",    "3.2e-3 (1 .. 2)", "9 V ± 0.5 V", "1,5 kΩ .. 0x1",
    };
    const D conditions[] = {D::current, D::voltage};
    for (const std::string_view text : texts) {
        for (std::size_t from = 0; from <= text.size(); ++from) {
            for (std::size_t to = from; to <= text.size(); ++to) {
                std::string broken(text.substr(0, from));
                broken += text.substr(to);
                for (int k = 0; k <= static_cast<int>(D::voltage_rate); ++k) {
                    const auto spread = parse_spread(broken, static_cast<D>(k));
                    if (spread) {
                        EXPECT_LE(spread->lowest, spread->nominal) << broken;
                        EXPECT_LE(spread->nominal, spread->highest) << broken;
                    } else {
                        EXPECT_LE(spread.error().begin, spread.error().end) << broken;
                        EXPECT_LE(spread.error().end, broken.size()) << broken;
                    }
                }
                const auto at = parse_spread_at(broken, D::ratio, conditions);
                if (!at) {
                    EXPECT_LE(at.error().end, broken.size()) << broken;
                }
            }
        }
    }
}

}  // namespace
}  // namespace gapwright
