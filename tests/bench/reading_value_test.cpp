// Values into text and back.
#include "bench/meter/reading_value.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace gapwright {
namespace {

TEST(ReadingText, ParsesBackToTheSameDouble) {
    double value = 1.2345678901e-19;
    for (int k = 0; k < 4000; ++k, value *= 1.0173) {
        const Measurement measure{
            .kind = k % 2 != 0 ? MeasurementKind::voltage : MeasurementKind::resistance,
            .measure = "",
            .state = ""};
        const auto back = parse_reading_value(reading_text(value, measure.dimension()), measure);
        ASSERT_TRUE(back) << reading_text(value, measure.dimension());
        ASSERT_EQ(*back, value);
    }
    EXPECT_EQ(reading_text(4.32, Dimension::voltage), "4.32 V");
    EXPECT_EQ(reading_text(0.012, Dimension::current), "12 mA");
    EXPECT_EQ(reading_text(std::numeric_limits<double>::infinity(), Dimension::resistance),
              "over range");
}

TEST(ReadingValue, MayLeaveOutItsUnit) {
    const auto value = [](MeasurementKind kind, std::string_view text) {
        const auto parsed = parse_reading_value(text, {.kind = kind, .measure = "", .state = ""});
        return parsed ? *parsed : -1;
    };
    EXPECT_EQ(value(MeasurementKind::resistance, "4,7k"), 4700);
    EXPECT_EQ(value(MeasurementKind::resistance, " 1.5 M "), 1.5e6);
    EXPECT_EQ(value(MeasurementKind::isolation, "330\u00A0"), 330);
    EXPECT_EQ(value(MeasurementKind::current, "12 m"), 12e-3);
    EXPECT_EQ(value(MeasurementKind::voltage, "650m"), 0.65);
    EXPECT_EQ(value(MeasurementKind::junction, ".62"), 0.62);
}

// Typed at a prompt: the place of what is wrong is that in the text typed.
TEST(ReadingValue, IsRefusedWithItsPlace) {
    const Measurement resistance{.kind = MeasurementKind::resistance, .measure = "", .state = ""};
    const auto under = [&](std::string_view text) {
        const auto value = parse_reading_value(text, resistance);
        if (value) return std::string("read");
        return std::string(
            text.substr(value.error().begin, value.error().end - value.error().begin));
    };
    EXPECT_EQ(under("4,7 kV"), "4,7 kV");
    EXPECT_EQ(under(" -4"), "-4");
    EXPECT_EQ(under("12 34"), "12 34");
    EXPECT_EQ(under("1e999"), "1e999");
    EXPECT_EQ(under(""), "");
    EXPECT_EQ(under("4 or"), "4 or");
    EXPECT_EQ(under(" ol "), "read");
}

}  // namespace
}  // namespace gapwright
