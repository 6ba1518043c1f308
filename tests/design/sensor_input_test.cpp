// Designed inputs against IEC 61131-2, row by row, at every extreme of the supplies.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <sstream>
#include <vector>

#include "design_support.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

// --- a sensor's input ---

// IEC 61131-2, from memory: what an input of each type takes. On: lowest and highest voltage, and
// the current there; off: voltages; what a sensor that is off may leak.
struct SensorInput {
    int type;
    double on_lowest;  // V
    double at_least;   // A
    double at_most;    // A
    double leakage;    // A
};
constexpr std::array<SensorInput, 3> sensor_inputs = {
    {{1, 15, 2e-3, 15e-3, 0.5e-3}, {2, 11, 6e-3, 30e-3, 2e-3}, {3, 11, 2e-3, 15e-3, 1.5e-3}}};
constexpr double on_highest = 30;  // V
constexpr std::array<double, 2> off_voltages = {-3, 5};

std::string volts(double v) {
    std::ostringstream text;
    text << v << " V";
    return text.str();
}

std::string amperes(double a) {
    std::ostringstream text;
    text << a * 1e3 << " mA";
    return text.str();
}

// Sets a key of a part.
std::string set_after(const std::string& text, const std::string& part, const std::string& key,
                      const std::string& value) {
    const std::string before = " " + key + " = \"";
    const auto at = text.find(before, text.find("\n" + part));
    EXPECT_NE(at, std::string::npos) << part << key << text;
    if (at == std::string::npos) return text;
    const auto from = at + before.size();
    return text.substr(0, from) + value + text.substr(text.find('"', from));
}

const NominalState* state_with(const Proof& proof, const Link& link, Setting p1, Setting s1) {
    for (std::size_t k = 0; k < link.states.size(); ++k) {
        const auto& settings = link.states[k].settings;
        if (settings.at(link.find_part("P1").value()) == p1 &&
            settings.at(link.find_part("S1").value()) == s1) {
            return &proof.states[k];
        }
    }
    return nullptr;
}

std::string level_in(const Proof& proof, const std::string& state) {
    for (const auto& level : proof.levels) {
        for (const auto& [name, word] : level.by_state) {
            if (name == state) return word;
        }
    }
    return "none";
}

Band band_of(const std::vector<std::pair<std::string, double>>& list,
             const std::vector<Band>& bands, const std::string& name) {
    const auto at = std::ranges::find(list, name, [](const auto& entry) { return entry.first; });
    EXPECT_NE(at, list.end()) << name;
    return at == list.end() ? Band{} : bands.at(static_cast<std::size_t>(at - list.begin()));
}

// The answer at single points of the standard, and at both ends of the output's supply.
void expect_meets(const std::string& text, const SensorInput& input) {
    for (const double on : {input.on_lowest, on_highest}) {
        for (const double off : off_voltages) {
            for (const std::string supply : {"3.135 V", "3.465 V"}) {
                std::string row = set_after(text, "P1 = {", "high", volts(on));
                row = set_after(row, "P1 = {", "low", volts(off));
                row = set_after(row, "S1 = {", "leakage", amperes(input.leakage));
                row = with(row, "supply = \"3.3 V ± 5 %\"", "supply = \"" + supply + "\"");
                SCOPED_TRACE(row);
                const auto link = link_of(row);
                ASSERT_TRUE(link) << to_text(link.error());
                const Proof proof = proven(*link, 100);
                EXPECT_NE(proof.verdict, Verdict::broken);
                const auto* driven = state_with(proof, *link, Setting::high, Setting::closed);
                const auto* idle = state_with(proof, *link, Setting::low, Setting::closed);
                const auto* leaking = state_with(proof, *link, Setting::high, Setting::open);
                ASSERT_TRUE(driven && idle && leaking);
                const Band current = band_of(driven->currents, driven->current_bands, "S1");
                EXPECT_GE(current.lowest, input.at_least);
                EXPECT_LE(current.highest, input.at_most);
                // What leaks is all that flows; the open contact's insulation adds a trace.
                const Band leak = band_of(leaking->currents, leaking->current_bands, "S1");
                EXPECT_LE(leak.highest, input.leakage * 1.001);
                // High while idle.
                EXPECT_EQ(level_in(proof, driven->name), "low");
                EXPECT_EQ(level_in(proof, idle->name), "high");
                EXPECT_EQ(level_in(proof, leaking->name), "high");
            }
        }
    }
}

std::string sensor_need(int type) {
    std::string text = example_text("night-silence");
    return with(text, "input_type = 3", "input_type = " + std::to_string(type));
}

class Sensors : public testing::TestWithParam<SensorInput> {};

// Sanitizers look at one type: it is the code that they look at, not the answers.
std::vector<SensorInput> types_to_meet() {
    std::vector<SensorInput> types(sensor_inputs.begin(), sensor_inputs.end());
    types.resize(testing_support::how_many(std::size_t{1}, types.size()));
    return types;
}

TEST_P(Sensors, AreMetAtEveryRowOfTheStandard) {
    const auto design = designed(sensor_need(GetParam().type));
    ASSERT_TRUE(design) << told(design.error());
    const Answer& answer = design->answers.front();
    ASSERT_NE(answer.proof->verdict, Verdict::broken)
        << answer.text << answer.broken.front().subject;
    expect_meets(answer.text, GetParam());
}

INSTANTIATE_TEST_SUITE_P(Types, Sensors, testing::ValuesIn(types_to_meet()), [](const auto& named) {
    return "Type" + std::to_string(named.param.type);
});

}  // namespace
}  // namespace gapwright
