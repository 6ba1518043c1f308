// What card check finds: each rule on a card written to break it, and none of it on the right card
// that this one is made of.
#include "fit/card_check.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include "card/card_reading.hpp"
#include "card/shipped_cards.hpp"
#include "support/card_folder.hpp"

namespace gapwright {
namespace {

std::vector<CardFinding> findings_of(const std::string& text) {
    const testing_support::CardFolder folder;
    const auto card = read_card(folder.write("made.card.toml", text));
    if (!card) {
        ADD_FAILURE() << to_text(card.error()) << text;
        return {};
    }
    std::vector<Observation> measured;
    if (!card->points.empty()) {
        const auto found = observations_of(card->card.kind, card->points);
        EXPECT_TRUE(found);
        if (found) measured = *found;
    }
    return check_card(card->card, measured);
}

const CardFinding* found(const std::vector<CardFinding>& findings, const std::string& figure,
                         const std::string& text) {
    for (const auto& finding : findings) {
        if ((finding.figure ? key_name(*finding.figure) : "") == figure &&
            finding.text.find(text) != std::string::npos) {
            return &finding;
        }
    }
    return nullptr;
}

const std::string diode =
    "kind = \"diode\"\nsource = \"made up\"\nforward = \"0.7 V (0.6 .. 0.8 V) at 10 mA\"\n";
const std::string led =
    "kind = \"led\"\nsource = \"made up\"\nforward = \"2 V (1.8 .. 2.2 V) at 20 mA\"\n";
const std::string coupler =
    "kind = \"coupler\"\nsource = \"made up\"\nforward = \"1.2 V (1.1 .. 1.3 V) at 10 mA\"\n"
    "ctr = \"100 % (50 .. 150 %) at 5 mA, 5 V\"\n";
const std::string cell =
    "kind = \"light-dependent resistor\"\nsource = \"made up\"\n"
    "resistance = \"10 kΩ (8 .. 12 kΩ) at 10 lx\"\n";
const std::string npn = "kind = \"npn transistor\"\nsource = \"made up\"\n";
const std::string coil =
    "kind = \"coil\"\nsource = \"made up\"\nresistance = \"100 Ω ± 5 %\"\npull_in = \"4 V\"\n";

// A card made of a right one by a few more lines.
struct Broken {
    std::string name;
    std::string right;
    std::string right_lines;
    std::string broken_lines;
    bool nonsense;
    std::string figure;
    std::string told;
};

void PrintTo(const Broken& broken, std::ostream* out) {
    *out << broken.name;
}

std::vector<Broken> broken_cards() {
    const std::string gamma = "gamma = 0.7\n";
    return {
        {"DiodeIdeality", diode, "ideality = 1.8\n", "ideality = 7\n", true, "ideality", "7"},
        {"DiodeIdealityUnlikely", diode, "ideality = 1\n", "ideality = 3\n", false, "ideality",
         "3"},
        {"LedIdeality", led, "ideality = 3\n", "ideality = 9\n", true, "ideality", "9"},
        {"CouplerIdeality", coupler, "ideality = 1.5\n", "ideality = 0.5\n", true, "ideality",
         "0.5"},
        {"Bandgap", led, "bandgap = \"1.9 eV\"\n", "bandgap = \"9 eV\"\n", true, "bandgap", "9 eV"},
        {"Gamma", cell, gamma, "gamma = 2.5\n", true, "gamma", "2.5"},
        {"GammaUnlikely", cell, gamma, "gamma = 0.3\n", false, "gamma", "0.3"},
        {"GammaAtOneEnd", cell, gamma, "gamma = \"0.7 (0.1 .. 0.9)\"\n", true, "gamma", "0.1"},
        {"Gain", npn, "gain = \"200 (100 .. 400)\"\n", "gain = \"20000 (1 .. 30000)\"\n", true,
         "gain", "gain"},
        {"EarlyVoltage", coupler, "early_voltage = \"60 V\"\n", "early_voltage = \"1 V\"\n", true,
         "early_voltage", "1 V"},
        {"TemperatureCoefficient", coupler, "temperature_coefficient = \"-0.5 %/K\"\n",
         "temperature_coefficient = \"-4 %/K\"\n", true, "temperature_coefficient", ""},
        {"NoLightLeft", led, "temperature_coefficient = \"-0.5 %/K\"\n",
         "temperature_coefficient = \"-1.7 %/K\"\n", true, "temperature_coefficient", "light left"},
        {"LittleLightLeft", led, "temperature_coefficient = \"-0.5 %/K\"\n",
         "temperature_coefficient = \"-1 %/K\"\n", false, "temperature_coefficient", "light left"},
        {"SeriesResistance", led, "series_resistance = \"2 Ω\"\n", "series_resistance = \"80 Ω\"\n",
         false, "series_resistance", "1.6 V"},
        {"ForwardBeyondItsCurrent", led, "[limits]\nforward_current = \"30 mA\"\n",
         "[limits]\nforward_current = \"10 mA\"\n", true, "forward", "20 mA"},
        {"PowerBeyond", led, "[limits]\nforward_current = \"20 mA\"\npower = \"50 mW\"\n",
         "[limits]\nforward_current = \"20 mA\"\npower = \"30 mW\"\n", true, "power", "40 mW"},
        {"CtrBeyondItsCurrent", coupler, "[limits]\nforward_current = \"50 mA\"\n",
         "[limits]\nforward_current = \"10 mA\"\n[transfer]\nctr = \"100 % (50 .. 150 %) at 20 mA, "
         "5 V\"\n",
         true, "ctr", "20 mA"},
        // (its peak lies at √(I_N·I_D), 8.5 mA of the defaults)
        {"RatioRisesForEver", coupler, "[limits]\nforward_current = \"50 mA\"\n",
         "high_knee = \"1 kA\"\n[limits]\nforward_current = \"50 mA\"\n", true, "high_knee",
         "for ever"},
        {"BackwardsMoreThanForwards", coupler,
         "[limits]\ncollector_emitter_voltage = \"70 V\"\nemitter_collector_voltage = \"6 V\"\n",
         "[limits]\ncollector_emitter_voltage = \"6 V\"\nemitter_collector_voltage = \"70 V\"\n",
         true, "emitter_collector_voltage", "70 V"},
        {"DarkCurrent", coupler, "dark_current = \"0.1 nA\"\n", "dark_current = \"10 µA\"\n", true,
         "dark_current", "10 µA"},
        {"DarkerThanLit", cell + gamma, "dark_resistance = \"1 MΩ\"\n",
         "dark_resistance = \"11 kΩ\"\n", true, "dark_resistance", "in the dark"},
        {"IntensityBeyondItsCurrent", led,
         "luminous_intensity = \"1 cd at 20 mA\"\n[limits]\nforward_current = \"30 mA\"\n",
         "luminous_intensity = \"1 cd at 50 mA\"\n[limits]\nforward_current = \"30 mA\"\n", true,
         "luminous_intensity", "50 mA"},
        {"LifeBeyondItsCurrent", led,
         "[limits]\nforward_current = \"30 mA\"\n[life]\nto_80_percent = \"9000 h\"\nat_current = "
         "\"20 mA\"\n",
         "[limits]\nforward_current = \"30 mA\"\n[life]\nto_80_percent = \"9000 h\"\nat_current = "
         "\"40 mA\"\n",
         true, "at_current", "40 mA"},
        {"CoilNeverPullsIn", coil, "[limits]\nvoltage = \"7 V\"\n", "[limits]\nvoltage = \"3 V\"\n",
         true, "pull_in", "3 V"},
        {"CoilTooHot", coil, "[limits]\nvoltage = \"7 V\"\npower = \"0.5 W\"\n",
         "[limits]\nvoltage = \"7 V\"\npower = \"0.3 W\"\n", true, "power", "490 mW"},
        {"NoSpread", "kind = \"led\"\nsource = \"made up\"\n",
         "forward = \"2 V (1.8 .. 2.2 V) at 20 mA\"\n", "forward = \"2 V at 20 mA\"\n", false,
         "forward", "no spread"},
        {"NoSource", "kind = \"led\"\nforward = \"2 V (1.8 .. 2.2 V) at 20 mA\"\n",
         "source = \"made up\"\n", "", false, "", "where its figures come from"},
        {"OwnPointsFarOff", led,
         "[[points]]\nforward_current = \"20 mA\"\nforward_voltage = \"2.01 V\"\n",
         "[[points]]\nforward_current = \"20 mA\"\nforward_voltage = \"3 V\"\n", false, "", "1 of"},
    };
}

// What figures say of one another, and what is left out.
std::vector<Broken> more_broken_cards() {
    const std::string insulation = "[insulation]\n";
    const std::string ctr =
        "kind = \"coupler\"\nsource = \"made up\"\n"
        "forward = \"1.2 V (1.1 .. 1.3 V) at 10 mA\"\n";
    const std::string limits = "[limits]\nforward_current = \"50 mA\"\n";
    const std::string receiver =
        "collector_current = \"50 mA\"\ncollector_emitter_voltage = \"70 V\"\n";
    const std::string source = "source = \"made up\"\n";
    return {
        {"CreepageShorterThanClearance", coupler + insulation,
         "external_clearance = \"7 mm\"\nexternal_creepage = \"7 mm\"\n",
         "external_clearance = \"8 mm\"\nexternal_creepage = \"7 mm\"\n", true,
         "external_clearance", "8 mm"},
        {"TransientBelowRepetitive", coupler + insulation,
         "repetitive_peak_voltage = \"600 V\"\ntransient_peak_voltage = \"6 kV\"\n",
         "repetitive_peak_voltage = \"6 kV\"\ntransient_peak_voltage = \"600 V\"\n", true,
         "repetitive_peak_voltage", "600 V"},
        // (r.m.s.: 500 V stand for a peak of 707 V)
        {"TestBelowRepetitive", coupler + insulation,
         "repetitive_peak_voltage = \"700 V\"\nisolation_test_voltage = \"500 V\"\n",
         "repetitive_peak_voltage = \"710 V\"\nisolation_test_voltage = \"500 V\"\n", true,
         "repetitive_peak_voltage", "500 V"},
        {"InsulationAboveItsTest", coupler + "[limits]\ninsulation_voltage = \"600 V\"\n",
         insulation + "isolation_test_voltage = \"5 kV\"\n",
         insulation + "isolation_test_voltage = \"500 V\"\n", true, "insulation_voltage", "500 V"},
        {"Ctr", ctr, "ctr = \"500 % (300 .. 600 %) at 1 mA, 2 V\"\n",
         "ctr = \"11000 % (900 .. 12000 %) at 1 mA, 2 V\"\n", true, "ctr", "11000 %"},
        {"CtrUnlikely", ctr, "ctr = \"500 % (300 .. 600 %) at 1 mA, 2 V\"\n",
         "ctr = \"900 % (600 .. 1200 %) at 1 mA, 2 V\"\n", false, "ctr", "900 %"},
        {"CtrOfADarlington", ctr,
         "ctr = \"2500 % (900 .. 4000 %) at 1 mA, 2 V\"\nsecond_gain = 100\n",
         "ctr = \"2500 % (900 .. 12000 %) at 1 mA, 2 V\"\nsecond_gain = 100\n", true, "ctr",
         "12000 %"},
        {"ForwardTooLittle", "kind = \"led\"\n" + source + "bandgap = \"2.7 eV\"\n",
         "forward = \"3 V (2.8 .. 3.4 V) at 20 mA\"\n",
         "forward = \"0.3 V (0.28 .. 0.34 V) at 20 mA\"\n", true, "forward", "too little"},
        {"ForwardLittle", "kind = \"led\"\n" + source + "bandgap = \"2.7 eV\"\n",
         "forward = \"3 V (2.8 .. 3.4 V) at 20 mA\"\n",
         "forward = \"1 V (0.9 .. 1.1 V) at 20 mA\"\n", false, "forward", "too little"},
        {"ForwardTooMuch", "kind = \"led\"\n" + source,
         "forward = \"3 V (2.8 .. 3.4 V) at 20 mA\"\n",
         "forward = \"30 V (28 .. 34 V) at 20 mA\"\n", true, "forward", "30 V"},
        // (a barrier diode's 0.25 V is not against the gap that any diode is taken to have)
        {"ForwardOfADiode", "kind = \"diode\"\n" + source,
         "forward = \"0.3 V (0.25 .. 0.4 V) at 10 mA\"\n",
         "forward = \"7 V (6 .. 8 V) at 10 mA\"\n", true, "forward", "too much"},
        {"ReverseVoltage", led + "[limits]\n", "reverse_voltage = \"5 V\"\n",
         "reverse_voltage = \"500 V\"\n", false, "reverse_voltage", "500 V"},
        {"LuminousIntensity", led, "luminous_intensity = \"6 cd at 20 mA\"\n",
         "luminous_intensity = \"6000 cd at 20 mA\"\n", false, "luminous_intensity", "6 kcd"},
        {"TestCurrentInAmperes", "kind = \"led\"\n" + source,
         "forward = \"2 V (1.8 .. 2.2 V) at 20 mA\"\n",
         "forward = \"2 V (1.8 .. 2.2 V) at 20 A\"\nseries_resistance = \"10 mΩ\"\n", true,
         "forward", "mA typed as A"},
        {"SeriesResistanceTooSmall", led, "series_resistance = \"0.5 Ω\"\n",
         "series_resistance = \"1 mΩ\"\n", false, "series_resistance",
         "share of the forward voltage"},
        {"NoLimitOfAnLed", led, limits, "", false, "forward_current", "nothing of it"},
        {"NoLimitOfAReceiver", coupler, limits + receiver, limits, false, "collector_current",
         "collector_emitter_voltage"},
        {"NoLimitOfAResistor", "kind = \"resistor\"\n" + source + "value = \"1 kΩ ± 5 %\"\n",
         "[limits]\npower = \"0.25 W\"\n", "", false, "power", "power"},
        {"NoLimitOfACoil", coil, "[limits]\npower = \"0.5 W\"\n", "", false, "voltage", "voltage"},
    };
}

class EachRule : public testing::TestWithParam<Broken> {};

TEST_P(EachRule, FindsTheBrokenCardAndNotTheRightOne) {
    const Broken& b = GetParam();
    const auto findings = findings_of(b.right + b.broken_lines);
    const auto* finding = found(findings, b.figure, b.told);
    std::string all;
    for (const auto& f : findings)
        all += std::string(f.figure ? key_name(*f.figure) : "") + ": " + f.text + "\n";
    ASSERT_TRUE(finding) << all;
    EXPECT_EQ(finding->nonsense, b.nonsense) << finding->text;
    EXPECT_FALSE(finding->text.ends_with('.'));
    EXPECT_FALSE(found(findings_of(b.right + b.right_lines), b.figure, ""))
        << "of the right card: " << b.figure;
}

INSTANTIATE_TEST_SUITE_P(Rules, EachRule, testing::ValuesIn(broken_cards()),
                         [](const auto& each) { return each.param.name; });
INSTANTIATE_TEST_SUITE_P(MoreRules, EachRule, testing::ValuesIn(more_broken_cards()),
                         [](const auto& each) { return each.param.name; });

TEST(CardCheck, PointsFarOffAreNotToBeFittedAnew) {
    const auto findings =
        findings_of(led + "[[points]]\nforward_current = \"20 mA\"\nforward_voltage = \"3 V\"\n");
    const auto* finding = found(findings, "", "1 of");
    ASSERT_TRUE(finding);
    EXPECT_EQ(finding->remedy.find("anew"), std::string::npos);
    EXPECT_NE(finding->remedy.find("units"), std::string::npos);
}

TEST(CardCheck, NonsenseComesFirstAndEachIsToldAtItsFigure) {
    const auto findings = findings_of(diode + "ideality = 7\nseries_resistance = \"50 Ω\"\n");
    ASSERT_GE(findings.size(), 2U);
    EXPECT_TRUE(findings.front().nonsense);
    bool likely = false;
    for (const auto& finding : findings) {
        EXPECT_FALSE(likely && finding.nonsense) << finding.text;
        likely = likely || !finding.nonsense;
    }
    const auto* ideality = found(findings, "ideality", "");
    ASSERT_TRUE(ideality);
    ASSERT_TRUE(ideality->place.text);
    const auto& place = ideality->place;
    EXPECT_NE(place.text->text().substr(place.begin, place.end - place.begin).find('7'),
              std::string::npos);
}

TEST(CardCheck, FindsNothingOnShippedCards) {
    for (const auto& shipped : shipped_cards()) {
        const auto card = read_card(std::string(shipped.name));
        ASSERT_TRUE(card) << shipped.name;
        for (const auto& finding : check_card(card->card, {})) {
            ADD_FAILURE() << shipped.name << ": " << finding.text;
        }
    }
}

}  // namespace
}  // namespace gapwright
