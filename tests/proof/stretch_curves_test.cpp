// How far every spread may be widened, against a diode string in closed form.
#include <string>

#include "proof/stretch_by_hand.hpp"
#include "proof/string_current.hpp"

namespace gapwright {
namespace {

std::string led_string(const std::string& supply, const std::string& resistor,
                       const std::string& temperature, const std::string& promise) {
    return "[surroundings]\ntemperature = \"" + temperature + R"("
[input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = ")" +
           supply + R"("
paths = ["supply > R2 > top", "top > D1 > return", "supply > R4 > y", "y > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = ")" +
           resistor + R"(" }
R4 = { kind = "resistor", value = "1 kΩ" }
[parts.D1]
kind = "led"
saturation_current = "1e-18 A"
ideality = 2.0
series_resistance = "2 Ω"
bandgap = "1.9 eV"
[[promise]]
state = "on"
)" + promise;
}

TEST(Stretch, OfADiodeStringIsThatOfLambertsW) {
    // At 5 V ± 10 % and 220 Ω ± 5 %, 15 to 35 °C: most current where it is hot.
    const auto most = [](double k) {
        return string_current(5 * (1 + 0.1 * k), 220 * (1 - 0.05 * k), kelvin_at_25 + 10 * k);
    };
    const auto least = [](double k) {
        return string_current(5 * (1 - 0.1 * k), 220 * (1 + 0.05 * k), kelvin_at_25 - 10 * k);
    };
    const auto proven = [](const std::string& bound) {
        return stretched_proof(
            led_string("5 V ± 10 %", "220 Ω ± 5 %", "15 .. 35 °C", "current = \"D1\"\n" + bound));
    };
    ASSERT_NEAR(most(0), least(0), 1e-15);
    for (const double k : {0.4, 0.8, 1.1, 1.7, 2.6}) {
        const std::string upper = "at_most = \"" + std::to_string(1e3 * most(k)) + " mA\"\n";
        expect_stretch(proven(upper).promises.at(0).stretch, k, upper);
        const std::string lower = "at_least = \"" + std::to_string(1e3 * least(k)) + " mA\"\n";
        expect_stretch(proven(lower).promises.at(0).stretch, k, lower);
        expect_stretch(proven(upper + lower).promises.at(0).stretch, k, upper + lower);
    }
    const std::string beyond = "at_most = \"" + std::to_string(1.05e3 * most(3)) + " mA\"\n";
    expect_stretch(proven(beyond).promises.at(0).stretch, widest_stretch, beyond);
}

// Temperature alone, −20 to 70 °C: 25 ± 45 k, which ends at −55 °C with k = 1.78. The LED's voltage
// is greatest in the cold.
TEST(Stretch, StopsWhereTheModelsEnd) {
    const auto volts = [](double celsius) {
        const double kelvin = celsius + 273.15;
        return 5 - 220 * string_current(5, 220, kelvin);
    };
    const auto proven = [](double bound) {
        return stretched_proof(
            led_string("5 V", "220 Ω", "-20 .. 70 °C",
                       "voltage = \"top\"\nat_most = \"" + std::to_string(bound) + " V\"\n"));
    };
    expect_stretch(proven(volts(25 - 45 * 1.5)).promises.at(0).stretch, 1.5, "before the end");
    expect_stretch(proven(volts(-55) + 1e-3).promises.at(0).stretch, widest_stretch, "at the end");
}

}  // namespace
}  // namespace gapwright
