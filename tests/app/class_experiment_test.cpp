// A teacher's experiment from the first reading to the hand-out: eight students' readings of eight
// couplers, a card fitted to them, a link with that card, its proof and its report; judged by a
// world that the program knows nothing of.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <random>
#include <string>

#include "class_world.hpp"
#include "support/how_many.hpp"
#include "support/run_program.hpp"

namespace gapwright::testing_support {
namespace {

using Json = nlohmann::json;

constexpr const char* class_link = R"(title = "Eight couplers"
[surroundings]
temperature = "25 °C"
[input]
supply = "5 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > U1 > out > R2 > return"]
[parts]
S1 = { kind = "contact", closed_resistance = "0 Ω" }
R1 = { kind = "resistor", value = "680 Ω", power = "0.25 W" }
R2 = { kind = "resistor", value = "220 Ω", power = "0.25 W" }
U1 = { card = "class-coupler" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = "out"
side = "output"
at_least = "0.5 V"
)";

void write(const std::filesystem::path& file, const std::string& text) {
    std::ofstream(file, std::ios::binary) << text;
}

Json json_of(const std::string& line, const std::filesystem::path& folder, int most_status) {
    const auto outcome = run_program(line, folder.string());
    EXPECT_LE(outcome.exit_status, most_status) << line << "\n" << outcome.err;
    return Json::parse(outcome.out, nullptr, false);
}

// What a card states of one figure.
struct Limits {
    double lowest = 0;
    double nominal = 0;
    double highest = 0;
};
Limits limits_of(const Json& fit, const char* figure) {
    const Json& spread = fit["figures"][figure]["spread"];
    if (spread.is_object()) return {spread["lowest"], spread["nominal"], spread["highest"]};
    const double value = fit["figures"][figure]["value"];
    return {value, value, value};
}

// Where the limits of a card's forward voltage, of its transfer ratio at 5 mA and 5 V and of the
// current below which that falls, all at their ends at once, leave the voltage across the load.
// Besides: forward voltages differ by up to 0.05 V between 5 mA and what flows; a ratio changes by
// less than the root of the current; with less than 5 V at its collector a receiver gives up to a
// tenth less (all common practice).
Limits load_by_limits(const Limits& forward, const Limits& ratio, const Limits& knee) {
    const ClassLink link;
    const double least = (link.supply - forward.highest - 0.05) / link.series;
    const double most = (link.supply - forward.lowest + 0.05) / link.series;
    const auto bent = [](double amperes) { return std::sqrt(amperes / 5e-3); };
    const auto moved = [&](double amperes, double to) {
        return (1 + knee.nominal / amperes) / (1 + to / amperes);
    };
    // What no point tells stays as four-pin-coupler-b has it: the current above which the ratio
    // falls again, 100 mA (60 .. 200 mA).
    const auto drooped = [](double amperes, double to) {
        return (1 + amperes / 100e-3) / (1 + amperes / to);
    };
    return {.lowest = ratio.lowest * std::min(1.0, bent(least)) * moved(least, knee.highest) *
                      drooped(least, 60e-3) * 0.9 * least * link.load,
            .nominal = 0,
            .highest = ratio.highest * std::max(1.0, bent(most)) * moved(most, knee.lowest) *
                       drooped(most, 200e-3) * most * link.load};
}

class ClassExperiment : public testing::TestWithParam<std::uint64_t> {};

TEST_P(ClassExperiment, AgreesWithItsCard) {
    const ScratchFolder scratch;
    const auto& folder = scratch.path();
    const ClassReadings readings = class_readings(GetParam());
    write(folder / "class.csv", readings.csv);
    write(folder / "class.link.toml", class_link);

    // The card, on the limits of an ordinary one.
    const Json fit = json_of(
        "card fit class.csv --based-on four-pin-coupler-b -o class-coupler.card.toml --svg "
        "pictures --json",
        folder, 0);
    ASSERT_TRUE(fit.is_object() && fit.contains("specimens"));
    ASSERT_EQ(fit["specimens"].size(), readings.couplers.size());
    const std::string picture = text_of_file(folder / "pictures/specimens-transfer.svg");
    EXPECT_NE(picture.find("8 of 8 specimens within"), std::string::npos);
    const Limits ratio = limits_of(fit, "ctr");
    for (const auto& coupler : readings.couplers) {
        EXPECT_GE(coupler.ratio, ratio.lowest);
        EXPECT_LE(coupler.ratio, ratio.highest);
    }

    // The proof, at the very values of the link that the world has.
    const Json proof = json_of("check class.link.toml --json", folder, 1);
    ASSERT_TRUE(proof.is_object() && proof.contains("promises"));
    const Json& promise = proof["promises"][0];
    const double lowest = promise["lowest"];
    const double highest = promise["highest"];
    for (const auto& coupler : readings.couplers) {
        const double volts = load_voltage(coupler, {});
        EXPECT_GE(volts, lowest);
        EXPECT_LE(volts, highest);
    }
    const Limits told =
        load_by_limits(limits_of(fit, "forward"), ratio, limits_of(fit, "low_knee"));
    EXPECT_GE(lowest, told.lowest) << "wider than the card's own limits";
    EXPECT_LE(highest, told.highest) << "wider than the card's own limits";
    std::cout << "ratio " << ratio.lowest << " to " << ratio.highest << ", proof " << lowest
              << " V to " << highest << " V, by the card's limits " << told.lowest << " V to "
              << told.highest << " V\n";

    // Others out of the same bag: at least as many within as the limits are meant to hold, but for
    // what a few readings cannot tell.
    std::mt19937_64 random(GetParam() + 1000);
    constexpr int others = 500;
    int within = 0;
    for (int k = 0; k < others; ++k) {
        const double volts = load_voltage(drawn_coupler(random), {});
        if (volts >= lowest && volts <= highest) ++within;
    }
    std::cout << within << " of " << others << " others within\n";
    EXPECT_GE(within, others * 97 / 100);

    // The hand-out.
    const auto report = run_program("report class.link.toml -o hand-out.html", folder);
    EXPECT_LE(report.exit_status, 1) << report.err;
    const std::string page = text_of_file(folder / "hand-out.html");
    EXPECT_NE(page.find("Eight couplers"), std::string::npos);
    EXPECT_NE(page.find("class-coupler"), std::string::npos);
}

INSTANTIATE_TEST_SUITE_P(Classes, ClassExperiment,
                         testing::Range<std::uint64_t>(1, how_many<std::uint64_t>(4, 41)));

}  // namespace
}  // namespace gapwright::testing_support
