// Points with a slip in them, as people make them: what cannot be such a part is refused with the
// likely cause, and nothing that is one.
#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <string>

#include "card/default_card.hpp"
#include "card/points.hpp"
#include "fit/card_fit.hpp"
#include "source/source_text.hpp"
#include "support/made_points.hpp"

namespace gapwright {
namespace {

std::expected<CardFit, CardFitFailure> fitted(Kind kind, const std::string& csv) {
    const auto table = read_points_csv(std::make_shared<const SourceText>("points.csv", csv));
    if (!table) throw std::runtime_error(to_text(table.error()));
    return fit_card(*default_card(kind), table->points);
}

void expect_refused(Kind kind, const std::string& csv, const std::string& cause) {
    const auto fit = fitted(kind, csv);
    ASSERT_FALSE(fit);
    EXPECT_NE(fit.error().message.find("no such part"), std::string::npos) << fit.error().message;
    EXPECT_NE(fit.error().message.find(cause), std::string::npos) << fit.error().message;
}

// An LED of 1.8 V at 20 mA.
const testing_support::DiodeLaw led{.saturation = 2.7e-18, .ideality = 1.85, .series = 3};

std::string led_points(const std::string& header, double current_scale) {
    std::string csv = header + "\n";
    for (const double mA : {0.1, 0.3, 1.0, 3.0, 10.0, 20.0}) {
        csv += std::to_string(mA * current_scale) + "," + std::to_string(led.voltage(mA * 1e-3)) +
               "\n";
    }
    return csv;
}

TEST(MisreadPoints, RightOnesAreFitted) {
    const auto fit = fitted(Kind::led, led_points("forward_current (mA),forward_voltage (V)", 1));
    ASSERT_TRUE(fit) << fit.error().message;
    for (const auto& doubt : fit->doubts) {
        EXPECT_EQ(doubt.find("usual is"), std::string::npos) << doubt;
    }
}

TEST(MisreadPoints, MilliamperesAsAmperes) {
    expect_refused(Kind::led, led_points("forward_current (A),forward_voltage (V)", 1), "mA as A");
}

TEST(MisreadPoints, ARatioWithoutItsPercent) {
    expect_refused(Kind::coupler,
                   "forward_current (mA),collector_emitter_voltage (V),ctr\n0.5,5,17.8\n1,5,33.9\n"
                   "2,5,51.6\n5,5,67.7\n10,5,69\n20,5,64\n",
                   "%");
}

TEST(MisreadPoints, AResistorAsAnLed) {
    std::string csv = "forward_current (mA),forward_voltage (V)\n";
    for (const double mA : {0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0}) {
        csv += std::to_string(mA) + "," + std::to_string(mA * 0.1) + "\n";
    }
    expect_refused(Kind::led, csv, "resistor");
}

// The same LED's chart with a logarithmic current axis (0.1 to 100 mA) that was read as linear.
TEST(MisreadPoints, ALogarithmicAxisReadAsLinear) {
    std::string csv = "forward_current (mA),forward_voltage (V)\n";
    for (const double mA : {0.13, 0.3, 1.0, 3.0, 10.0, 30.0, 80.0}) {
        const double share = std::log10(mA / 0.1) / 3;
        csv += std::to_string(0.1 + share * 99.9) + "," + std::to_string(led.voltage(mA * 1e-3)) +
               "\n";
    }
    const auto fit = fitted(Kind::led, csv);
    // Refused, or asked about.
    if (!fit) {
        EXPECT_NE(fit.error().message.find("logarithmic"), std::string::npos);
        return;
    }
    bool asked = false;
    for (const auto& doubt : fit->doubts) {
        asked = asked || doubt.find("logarithmic") != std::string::npos;
    }
    EXPECT_TRUE(asked);
}

std::string cell_points(const std::string& header, bool exchanged, double scale) {
    const testing_support::CellLaw cell{.at_ten = 9e3, .gamma = 0.68, .dark = 1e9};
    std::string csv = header + "\n";
    for (const double lux : {2.0, 5.0, 10.0, 50.0, 200.0, 1000.0}) {
        const double ohms = cell.resistance(lux) * scale;
        csv += exchanged ? std::to_string(ohms) + "," + std::to_string(lux) + "\n"
                         : std::to_string(lux) + "," + std::to_string(ohms) + "\n";
    }
    return csv;
}

TEST(MisreadPoints, ACellsColumnsExchanged) {
    const auto right = fitted(Kind::light_dependent_resistor,
                              cell_points("illuminance (lx),resistance (kΩ)", false, 1e-3));
    EXPECT_TRUE(right) << right.error().message;
    expect_refused(Kind::light_dependent_resistor,
                   cell_points("illuminance (lx),resistance (kΩ)", true, 1e-3), "exchanged");
}

TEST(MisreadPoints, KilohmsAsOhms) {
    expect_refused(Kind::light_dependent_resistor,
                   cell_points("illuminance (lx),resistance (Ω)", false, 1e-3), "kΩ as Ω");
}

TEST(MisreadPoints, ACoveredCellHasItsDarkResistance) {
    const auto fit = fitted(Kind::light_dependent_resistor,
                            "illuminance (lx),resistance (kΩ)\n0,4000\n10,9\n100,1.9\n1000,0.4\n");
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    bool told = false;
    for (const auto& figure : fit->figures) {
        if (figure.key != Key::dark_resistance) continue;
        told = true;
        EXPECT_FALSE(figure.kept);
        EXPECT_NEAR(figure.value, 4e6, 0.15e6);
    }
    EXPECT_TRUE(told);
}

// A normalised curve is asked about wherever its reference lies, here 10 mA between two points.
TEST(MisreadPoints, ANormalisedCurveIsAskedAbout) {
    const auto asked = [](double reference) {
        std::string csv = "forward_current (mA),collector_emitter_voltage (V),ctr (%)\n";
        const auto shape = [](double mA) { return mA / (mA + 2) / (1 + mA / 60); };
        for (const double mA : {0.7, 1.6, 3.6, 7.0, 14.0, 28.0}) {
            csv += std::to_string(mA) + ",5," + std::to_string(100 * shape(mA) / shape(reference)) +
                   "\n";
        }
        const auto fit = fitted(Kind::coupler, csv);
        if (!fit) return false;
        for (const auto& doubt : fit->doubts) {
            if (doubt.find("normalised") != std::string::npos) return true;
        }
        return false;
    };
    EXPECT_TRUE(asked(10));
    EXPECT_TRUE(asked(5));
    EXPECT_TRUE(asked(2));
    EXPECT_FALSE(asked(1.35));  // no current that a chart would name: its own ratio
}

}  // namespace
}  // namespace gapwright
