// A fit written as a card file and read back: the same figures, to the digits that cards have.
#include "fit/card_file.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include "card/card_reading.hpp"
#include "card/default_card.hpp"
#include "support/card_folder.hpp"
#include "support/made_points.hpp"

namespace gapwright {
namespace {

using testing_support::CardFolder;
using testing_support::CellLaw;
using testing_support::DiodeLaw;
using testing_support::point;

constexpr double digits = 5.1e-4;  // half of the fourth digit, at worst

CardFit fitted(const Description& base, const std::vector<MeasuredPoint>& points,
               const CardFitOptions& options = {}) {
    const auto fit = fit_card(base, points, options);
    if (fit) return *fit;
    ADD_FAILURE() << fit.error().message << to_text(fit.error().problems);
    return {};
}

void expect_near(double read, double written, const std::string& what) {
    EXPECT_NEAR(read, written, std::abs(written) * digits) << what;
}

// The text is a card, with these figures and points.
void expect_read_back(const CardFit& fit, const std::vector<MeasuredPoint>& points,
                      const CardFileHead& head) {
    const CardFolder folder;
    const std::string text = card_file_text(fit, points, head);
    const auto card = read_card(folder.write("written.card.toml", text));
    ASSERT_TRUE(card) << to_text(card.error()) << text;
    EXPECT_EQ(card->card.kind, fit.card.kind);
    EXPECT_EQ(card->card.name, head.name);
    EXPECT_EQ(card->card.source, head.source);
    EXPECT_EQ(card->points.size(), points.size());
    ASSERT_FALSE(fit.figures.empty());
    for (const auto& figure : fit.figures) {
        const auto* written = fit.card.find(figure.key);
        const auto* read = card->card.find(figure.key);
        ASSERT_EQ(read != nullptr, written != nullptr) << key_name(figure.key) << "\n" << text;
        if (!read) continue;
        // What stays assumed is assumed of the card as it is read, beside its other figures.
        if (figure.kept && written->assumed) continue;
        expect_near(read->spread.nominal, written->spread.nominal,
                    std::string(key_name(figure.key)));
        ASSERT_EQ(read->conditions.size(), written->conditions.size()) << key_name(figure.key);
        for (std::size_t k = 0; k < read->conditions.size(); ++k) {
            expect_near(read->conditions[k], written->conditions[k],
                        std::string(key_name(figure.key)));
        }
        if (!figure.spread || figure.kept) continue;
        expect_near(read->spread.lowest, figure.spread->lowest, std::string(key_name(figure.key)));
        expect_near(read->spread.highest, figure.spread->highest,
                    std::string(key_name(figure.key)));
    }
}

std::vector<MeasuredPoint> junction_points(const std::string& specimen = {}, double factor = 1) {
    std::vector<MeasuredPoint> points;
    const DiodeLaw law{1e-18 * factor, 1.8, 2.5};
    for (const double ma : {0.1, 0.5, 2.0, 8.0, 20.0, 30.0}) {
        points.push_back(law.at(ma * 1e-3, specimen));
    }
    return points;
}

TEST(CardFile, OfAJunctionIsReadBack) {
    for (const Kind kind : {Kind::diode, Kind::led}) {
        const auto points = junction_points();
        expect_read_back(fitted(*default_card(kind), points), points,
                         {.name = "Made", .based_on = {}, .source = "a test"});
    }
}

TEST(CardFile, WithSpecimensKeepsTheSpread) {
    auto points = junction_points("one");
    for (const auto& [name, factor] : {std::pair("two", 3.0), std::pair("three", 0.6)}) {
        const auto more = junction_points(name, factor);
        points.insert(points.end(), more.begin(), more.end());
    }
    const auto fit = fitted(*default_card(Kind::led), points);
    ASSERT_TRUE(fit.figures.at(0).spread);
    expect_read_back(fit, points, {.name = "Made", .based_on = {}, .source = "a test"});
}

TEST(CardFile, WithStatedLimitsKeepsThem) {
    CardFitOptions options;
    options.limits[Key::forward] = {.spread = {0, 1.5, 2.4}};
    const auto points = junction_points();
    const auto fit = fitted(*default_card(Kind::led), points, options);
    expect_read_back(fit, points, {.name = "Made", .based_on = {}, .source = "a test"});
}

TEST(CardFile, OfALightDependentResistorIsReadBack) {
    const CellLaw law{.at_ten = 12345, .gamma = 0.81, .dark = 2e6};
    std::vector<MeasuredPoint> points;
    for (const double lux : {0.01, 0.1, 1.0, 10.0, 100.0, 1000.0}) points.push_back(law.at(lux));
    expect_read_back(fitted(*default_card(Kind::light_dependent_resistor), points), points,
                     {.name = "Cell", .based_on = {}, .source = "a test"});
    // And of one point, which leaves the rest assumed.
    points.resize(1);
    expect_read_back(fitted(*default_card(Kind::light_dependent_resistor), points), points,
                     {.name = "Cell", .based_on = {}, .source = "a test"});
}

std::vector<MeasuredPoint> coupler_points() {
    const auto ratio = [](double ma, double volts, double celsius, double ctr) {
        return point({{"forward_current", ma * 1e-3},
                      {"collector_emitter_voltage", volts},
                      {"temperature", celsius + 273.15},
                      {"ctr", ctr}});
    };
    return {ratio(1, 5, 25, 0.7),
            ratio(5, 5, 25, 1.0),
            ratio(20, 5, 25, 0.95),
            ratio(5, 5, 60, 0.83),
            ratio(5, 5, -10, 1.17),
            point({{"collector_emitter_voltage", 10.0}, {"dark_current", 3e-9}})};
}

TEST(CardFile, OfACouplerIsReadBack) {
    const auto points = coupler_points();
    const auto fit = fitted(*default_card(Kind::coupler), points);
    expect_read_back(fit, points, {.name = "Coupler", .based_on = {}, .source = "a test"});
}

TEST(CardFile, OfACouplerBasedOnACardIsReadBack) {
    const auto base = read_card("four-pin-coupler-b");
    ASSERT_TRUE(base);
    const auto points = coupler_points();
    const CardFileHead head{
        .name = "Coupler", .based_on = "four-pin-coupler-b", .source = "a test"};
    const auto fit = fitted(base->card, points);
    expect_read_back(fit, points, head);
    // What no point told is the base card's still.
    const CardFolder folder;
    const auto card =
        read_card(folder.write("written.card.toml", card_file_text(fit, points, head)));
    ASSERT_TRUE(card) << to_text(card.error());
    for (const Key key :
         {Key::forward, Key::gain, Key::insulation_voltage, Key::collector_current}) {
        EXPECT_DOUBLE_EQ(card->card.nominal(key), base->card.nominal(key)) << key_name(key);
    }
}

TEST(CardFile, OfAPhototransistorIsReadBack) {
    std::vector<MeasuredPoint> points;
    for (const double irradiance : {1.0, 3.0, 10.0}) {
        points.push_back(point({{"irradiance", irradiance},
                                {"collector_emitter_voltage", 5.0},
                                {"collector_current", irradiance * 0.15e-3}}));
    }
    points.push_back(point({{"collector_emitter_voltage", 10.0}, {"dark_current", 5e-9}}));
    const auto fit = fitted(*default_card(Kind::phototransistor), points);
    expect_read_back(fit, points, {.name = "Receiver", .based_on = {}, .source = "a test"});
}

// A base that states its junction or its transfer in the other way.
TEST(CardFile, TakesThePlaceOfWhatTheBaseCardStatesOtherwise) {
    const CardFolder folder;
    const auto junction = read_card(folder.write(
        "base.card.toml", "kind = \"led\"\nsaturation_current = \"1e-18 A\"\nideality = 1.8\n"));
    ASSERT_TRUE(junction) << to_text(junction.error());
    const auto points = junction_points();
    const auto fit = fitted(junction->card, points);
    const auto card = read_card(folder.write(
        "written.card.toml",
        card_file_text(fit, points, {.name = "Made", .based_on = "base", .source = "a test"})));
    ASSERT_TRUE(card) << to_text(card.error());
    EXPECT_FALSE(card->card.find(Key::saturation_current));
    expect_near(card->card.nominal(Key::forward), fit.card.nominal(Key::forward), "forward");
}

TEST(CardFile, HostileNamesLeaveItValid) {
    const auto points = junction_points("\"\n[limits]\npower = \"9 W");
    const CardFolder folder;
    const auto fit = fitted(*default_card(Kind::led), points);
    const auto card = read_card(folder.write(
        "written.card.toml",
        card_file_text(
            fit, points,
            {.name = "a \"b\" \\ \n[limits]", .based_on = {}, .source = "\x01\t\"\"\""})));
    ASSERT_TRUE(card) << to_text(card.error());
    EXPECT_EQ(card->points.size(), points.size());
    EXPECT_FALSE(card->card.find(Key::power));
}

TEST(CardFile, FiguresHaveFourDigits) {
    EXPECT_EQ(figure_text(1.21349, Dimension::voltage), "1.213 V");
    EXPECT_EQ(figure_text(0.0045, Dimension::ratio), "0.0045");
    EXPECT_EQ(figure_text(12345.6, Dimension::resistance), "12.35 kΩ");
    EXPECT_EQ(figure_text(2e-9, Dimension::current), "2 nA");
}

}  // namespace
}  // namespace gapwright
