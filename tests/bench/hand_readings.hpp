// Small links at a meter's leads, whose readings can be worked out by hand.
#pragma once

#include "bench/bench_links.hpp"
#include "bench/meter/simulated_readings.hpp"

namespace gapwright::testing_support {

// At the cards' own temperature, and dark.
inline const ConditionRanges cards_conditions = {};

// A divider, a load, resistors side by side and a diode, all beside the coupler.
inline std::string bench_text() {
    return R"(title = "Bench"
[input]
supply = "9 V"
paths = ["supply > S1 > R1 > U1 > return", "supply > R9 > return"]
[output]
supply = "10 V"
paths = ["supply > R2 > tap", "tap > R3 > return", "supply > W1 > return",
         "supply > R4 > signal", "signal > U1 > return",
         "supply > R5 > pair", "pair > R6 > end", "pair > R7 > end", "end > R8 > return",
         "supply > R10 > anode", "anode > D1 > cathode", "cathode > R11 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "1 kΩ" }
R9 = { kind = "resistor", value = "2 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "1 MΩ" }
R3 = { kind = "resistor", value = "1 MΩ" }
W1 = { kind = "load", resistance = "1 kΩ" }
R4 = { kind = "resistor", value = "10 kΩ" }
R5 = { kind = "resistor", value = "1 kΩ" }
R6 = { kind = "resistor", value = "10 kΩ" }
R7 = { kind = "resistor", value = "10 kΩ" }
R8 = { kind = "resistor", value = "1 kΩ" }
R10 = { kind = "resistor", value = "1 MΩ" }
R11 = { kind = "resistor", value = "1 MΩ" }
D1 = { kind = "diode", forward = "0.7 V at 1 mA", ideality = 1.8, series_resistance = "0.5 Ω" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
)";
}

// A coupler and one resistor beside it that a part may stand across.
inline std::string two_parts(const std::string& across, const std::string& parts) {
    return R"(title = "Two parts"
[input]
supply = "9 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R4 > signal", "signal > U1 > return", "supply > R2 > tap", "tap > R3 > return")" +
           across +
           R"(]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R4 = { kind = "resistor", value = "10 kΩ" }
R2 = { kind = "resistor", value = "10 kΩ" }
R3 = { kind = "resistor", value = "10 kΩ" }
)" + parts +
           R"(
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
)";
}

class Readings {
  public:
    explicit Readings(const std::string& text, bool with_burden = true) {
        auto link = link_from(text);
        EXPECT_TRUE(link) << (link ? "" : link.error().front().message);
        link_ = std::move(*link);
        measurements_ = measurements_of(link_);
        std::vector<double> none;
        values_ = *nominal_readings(link_, setup(none));
        if (!with_burden) return;
        const auto unburdened = values_;
        values_ = *nominal_readings(link_, setup(unburdened));
    }

    double at(std::string_view measure, std::string_view state) const {
        return values_[index_of(measurements_, measure, state)];
    }
    // With the sides bridged.
    double bridged(std::string_view measure, const SideBridge& bridge) const {
        const auto readings = simulate_readings(link_, setup(values_), bridge, 1, 1);
        return readings->at(0, index_of(measurements_, measure, unpowered));
    }
    const std::vector<Measurement>& measurements() const { return measurements_; }
    const std::vector<double>& values() const { return values_; }
    const Link& link() const { return link_; }

  private:
    BenchSetup setup(const std::vector<double>& nominals) const {
        return {link_.meter, measurements_, nominals, cards_conditions};
    }

    Link link_;
    std::vector<Measurement> measurements_;
    std::vector<double> values_;
};

}  // namespace gapwright::testing_support
