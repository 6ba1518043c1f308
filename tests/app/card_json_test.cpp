// `gapwright card … --json` prints one JSON document and nothing else.
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "support/run_program.hpp"

namespace gapwright {
namespace {

using nlohmann::json;
using testing_support::ScratchFolder;

class CardJson : public testing::Test {
  protected:
    CardJson() {
        std::ofstream(folder_.path() / "points.csv")
            << "forward_current (mA),forward_voltage (V)\n0.5,1.72\n2,1.81\n5,1.88\n20,2.02\n";
        std::ofstream(folder_.path() / "nonsense.card.toml")
            << "kind = \"diode\"\nforward = \"0.7 V at 10 mA\"\nideality = 7\n";
    }

    // The command's whole output as one document.
    json document(const std::string& arguments, int status) {
        const auto outcome = testing_support::run_program(arguments, folder_.path());
        EXPECT_EQ(outcome.exit_status, status) << outcome.out << outcome.err;
        const json parsed = json::parse(outcome.out, nullptr, false);
        EXPECT_FALSE(parsed.is_discarded()) << arguments << "\n" << outcome.out;
        EXPECT_TRUE(parsed.is_object()) << arguments;
        EXPECT_TRUE(outcome.out.ends_with('\n')) << arguments;
        return parsed;
    }

    // Whether a number near this stands anywhere in the document.
    static bool holds(const json& value, double wanted) {
        if (value.is_number()) {
            return std::abs(value.get<double>() - wanted) <= 1e-9 * std::abs(wanted);
        }
        return value.is_structured() &&
               std::ranges::any_of(value, [&](const json& v) { return holds(v, wanted); });
    }

    ScratchFolder folder_;
};

TEST_F(CardJson, OfAFit) {
    const json fit = document("card fit points.csv --kind led --json -o x.card.toml", 0);
    // In SI units: what was measured.
    for (const double value : {1.72, 1.81, 1.88, 2.02}) {
        EXPECT_TRUE(holds(fit, value)) << value << "\n" << fit.dump(1);
    }
}

TEST_F(CardJson, OfACard) {
    const json card = document("card show red-led --json", 0);  // 2 V (1.8 .. 2.3 V) at 20 mA
    for (const double value : {2.0, 1.8, 2.3, 20e-3}) {
        EXPECT_TRUE(holds(card, value)) << value << "\n" << card.dump(1);
    }
}

// What nobody states lies anywhere in a range: an assumed figure is told with both ends.
TEST_F(CardJson, AnAssumedFigureHasItsRange) {
    std::ofstream(folder_.path() / "cell.card.toml")
        << "kind = \"light-dependent resistor\"\nresistance = \"1 kΩ at 100 lx\"\ngamma = 0.7\n";
    const json dark = document("card show cell --json", 0)["figures"]["dark_resistance"];
    EXPECT_TRUE(dark["assumed"].get<bool>()) << dark.dump();
    EXPECT_LT(dark["lowest"].get<double>(), dark["nominal"].get<double>()) << dark.dump();
    EXPECT_LT(dark["nominal"].get<double>(), dark["highest"].get<double>()) << dark.dump();
    const auto shown = testing_support::run_program("card show cell", folder_.path());
    const auto begin = shown.out.find("dark resistance");
    ASSERT_NE(begin, std::string::npos) << shown.out;
    const std::string line = shown.out.substr(begin, shown.out.find('\n', begin) - begin);
    EXPECT_NE(line.find(" … "), std::string::npos) << line;
    EXPECT_TRUE(line.ends_with("assumed")) << line;
}

TEST_F(CardJson, OfTwoCards) {
    const json both = document("card compare red-led white-led --json", 0);  // 2 V and 3 V
    EXPECT_TRUE(holds(both, 2.0) && holds(both, 3.0)) << both.dump(1);
}

TEST_F(CardJson, OfFindings) {
    const json found = document("card check nonsense --json", 1);
    EXPECT_NE(found.dump().find("\"nonsense\":true"), std::string::npos) << found.dump(1);
    const json none = document("card check four-pin-coupler-b --json", 0);
    EXPECT_EQ(none.dump().find("\"nonsense\":true"), std::string::npos) << none.dump(1);
}

TEST_F(CardJson, OfErrors) {
    for (const auto* arguments :
         {"card fit nowhere.csv --kind led --json", "card show nowhere --json",
          "card compare red-led nowhere --json", "card check nowhere --json",
          "card compare red-led relay-coil-5v --json", "card fit points.csv --json",
          "card fit points.csv --kind led --at \"speed = 1 V\" --json",
          "card fit points.csv --kind led --limits \"forward = 3 .. 4 V\" --json",
          "card fit points.csv --kind led -o x.toml --json"}) {
        document(arguments, 2);
    }
}

}  // namespace
}  // namespace gapwright
