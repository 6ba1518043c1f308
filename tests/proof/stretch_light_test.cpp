// How far light, shroud and life may be widened, against the laws of docs/method.md by hand.
#include <algorithm>
#include <cmath>
#include <string>

#include "proof/stretch_by_hand.hpp"
#include "proof/string_current.hpp"

namespace gapwright {
namespace {

// A cell of 10 kΩ at 10 lx, γ 0.7, in the dark 2 MΩ, behind 22 kΩ at 10 V. `lux` falls on it.
double cell_voltage(double lux) {
    const double lit = 10e3 * std::pow(std::max(lux, 1e-12) / 10, -0.7);
    const double cell = lit * 2e6 / (lit + 2e6);
    return 10 * cell / (cell + 22e3);
}

std::string cell_link(const std::string& surroundings, const std::string& shroud,
                      const std::string& promise) {
    return "[surroundings]\n" + surroundings + R"(
[input]
supply = "5 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "10 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
S1 = { kind = "contact", closed_resistance = "50 mΩ", open_resistance = "1 GΩ" }
R1 = { kind = "resistor", value = "220 Ω" }
R2 = { kind = "resistor", value = "22 kΩ" }
[parts.U1]
kind = "pair"
distance = "100 mm"
shroud = ")" +
           shroud + R"("
[parts.U1.emitter]
kind = "led"
saturation_current = "1e-18 A"
ideality = 2.0
series_resistance = "2 Ω"
bandgap = "1.9 eV"
luminous_intensity = "0.3 cd at 20 mA"
half_angle = "30 °"
temperature_coefficient = "0 /K"
to_80_percent = "1000 h"
at_current = "20 mA"
at_temperature = "25 °C"
[parts.U1.receiver]
kind = "light-dependent resistor"
resistance = "10 kΩ at 10 lx"
gamma = 0.7
dark_resistance = "2 MΩ"
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
voltage = "signal"
)" + promise;
}

std::string bound(const std::string& key, double volts) {
    return key + " = \"" + std::to_string(volts) + " V\"\n";
}

// 0 to 100 lx are 50 ± 50 k, and never below nothing: the most light grows on, the least is there.
TEST(Stretch, OfLightGrowsUpwardsAlone) {
    const auto lux = [](double k) { return 0.1 * (50 + 50 * k); };
    const auto proven = [](const std::string& promise) {
        return stretched_proof(
            cell_link("light = \"0 .. 100 lx\"", "90 %", "state = \"off\"\n" + promise));
    };
    const auto least = proven(bound("at_least", cell_voltage(lux(1.6))));
    expect_stretch(least.promises.at(0).stretch, 1.6, "at least");
    EXPECT_EQ(least.promises[0].stretch->through, "light");
    const auto most = proven(bound("at_most", cell_voltage(0) + 0.01));
    expect_stretch(most.promises.at(0).stretch, widest_stretch, "at most");
}

// A shroud of 90 % ± 9 % of itself would be more than the whole from k = 1.23 on.
TEST(Stretch, KeepsSharesBelowTheWhole) {
    const auto lux = [](double k) { return std::max(0.0, 1 - 0.9 * (1 + 0.09 * k)) * 200; };
    const auto proven = [](const std::string& promise) {
        return stretched_proof(
            cell_link("light = \"200 lx\"", "90 % ± 9 %", "state = \"off\"\n" + promise));
    };
    const auto before = proven(bound("at_most", cell_voltage(lux(1.1))));
    expect_stretch(before.promises.at(0).stretch, 1.1, "before the whole");
    const auto after = proven(bound("at_most", cell_voltage(0) + 0.01));
    expect_stretch(after.promises.at(0).stretch, widest_stretch, "at the whole");
    const auto less = proven(bound("at_least", cell_voltage(0.1 * 200 + 0.081 * 2.2 * 200)));
    expect_stretch(less.promises.at(0).stretch, 2.2, "less shroud");
}

// Life alone: light fades by exp(−(t/τ)^0.6), τ from 80 % at 1000 h and 20 mA, (20 mA/I)^1.5
// longer.
TEST(Stretch, OfAServiceLifeIsLongerService) {
    const double current = string_current(5, 220.05, kelvin_at_25);
    const double years = 365.25 * 24;  // h
    const auto lux = [&](double hours) {
        const double to_80 = 1000 * std::pow(20e-3 / current, 1.5);
        const double left = std::exp(std::log(0.8) * std::pow(hours / to_80, 0.6));
        return 0.3 * current / 20e-3 * left / (0.1 * 0.1);
    };
    for (const double k : {0.5, 1.4, 2.5}) {
        const auto promise =
            "state = \"on\"\n" + bound("at_most", cell_voltage(lux(k * 2 * years)));
        const auto proof =
            stretched_proof(cell_link("service = \"2 years\"\nduty = \"100 %\"", "100 %", promise));
        expect_stretch(proof.promises.at(0).stretch, k, promise);
        EXPECT_EQ(proof.promises[0].stretch->through, "age");
    }
}

}  // namespace
}  // namespace gapwright
