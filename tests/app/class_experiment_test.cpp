// A teacher's experiment from the first reading to the hand-out: eight students' readings of eight
// couplers, a card fitted to them, a link with that card, its proof and its report; judged by a
// world that the program knows nothing of.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <string>

#include "class_world.hpp"
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

class ClassExperiment : public testing::TestWithParam<std::uint64_t> {};

TEST_P(ClassExperiment, AgreesWithItsCard) {
    const ScratchFolder scratch;
    const auto& folder = scratch.path();
    const ClassReadings readings = class_readings(GetParam());
    write(folder / "class.csv", readings.csv);
    write(folder / "class.link.toml", class_link);

    // The card, on the limits of an ordinary one.
    const Json fit = json_of(
        "card fit class.csv --based-on four-pin-coupler-b -o class-coupler.card.toml --png "
        "pictures "
        "--json",
        folder, 0);
    ASSERT_TRUE(std::filesystem::exists(folder / "class-coupler.card.toml"));
    EXPECT_TRUE(std::filesystem::exists(folder / "pictures/specimens-transfer.png"));
    double ctr_low = 0;
    double ctr_high = 0;
    double ctr = 0;
    for (const auto& figure : Json::array()) {
        if (figure["figure"] != "ctr") continue;
        std::cout << figure.dump() << "\n";
    }
    std::cout << fit["figures"].dump() << "\n";

    const Json proof = json_of("check class.link.toml --json", folder, 1);
    const Json& promise = proof["promises"][0];
    const double lowest = promise["lowest"];
    const double highest = promise["highest"];
    std::cout << promise["nominal"] << " " << lowest << " " << highest << "\n";
    for (const auto& coupler : readings.couplers) {
        const double volts = load_voltage(coupler, {});
        std::cout << coupler.ratio << " " << volts << "\n";
        EXPECT_GE(volts, lowest);
        EXPECT_LE(volts, highest);
    }
    static_cast<void>(ctr_low + ctr_high + ctr);
}

INSTANTIATE_TEST_SUITE_P(Seeds, ClassExperiment, testing::Values(1U, 2U, 3U));

}  // namespace
}  // namespace gapwright::testing_support
