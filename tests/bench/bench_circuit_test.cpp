// Nominal readings of small links against sums by hand: what the meter itself does to the circuit.
#include "bench/bench_circuit.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "bench/bench_links.hpp"
#include "bench/meter_error.hpp"
#include "bench/simulated_readings.hpp"

namespace gapwright {
namespace {

using testing_support::index_of;
using testing_support::link_from;
using testing_support::with;

// At the cards' own temperature, and dark.
const ConditionRanges cards_conditions = {};

// A divider, a load, resistors side by side and a diode, all beside the coupler.
std::string bench_text() {
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
std::string two_parts(const std::string& across, const std::string& parts) {
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

TEST(BenchCircuit, VoltmeterLoadsADivider) {
    // 10 V halved by two of 1 MΩ is 5 V behind 500 kΩ; the meter is 10 MΩ.
    const Readings plain(bench_text());
    EXPECT_NEAR(plain.at("voltage at tap", "on"), 5 * 10 / 10.5, 1e-4);
    EXPECT_NEAR(plain.at("voltage at tap", "off"), 4.7619, 1e-4);
    // Across the upper one from the supply's side: the same by symmetry.
    EXPECT_NEAR(plain.at("voltage across R2", "on"), 4.7619, 1e-4);
    // What the supply holds is not loaded.
    EXPECT_NEAR(plain.at("voltage at output.supply", "on"), 10, 1e-6);
}

TEST(BenchCircuit, StatedInputResistanceCounts) {
    const Readings poor(bench_text() + "[meter]\ninput_resistance = \"1 MΩ\"\n");
    EXPECT_NEAR(poor.at("voltage at tap", "on"), 5 * 1 / 1.5, 1e-4);
    EXPECT_NEAR(poor.at("voltage across R2", "on"), 10.0 / 3, 1e-4);
}

TEST(BenchCircuit, AmmeterBurdensWhatItMeasures) {
    EXPECT_NEAR(Readings(bench_text(), false).at("current W1", "on"), 10e-3, 1e-8);
    // 10 mA are taken on the range to 20 mA: 0.2 V there is 10 Ω.
    EXPECT_NEAR(Readings(bench_text()).at("current W1", "on"), 10 / 1010.0, 1e-8);
    const Readings poor(bench_text() + "[meter]\nburden_voltage = \"1 V\"\n");
    EXPECT_NEAR(poor.at("current W1", "off"), 10 / 1050.0, 1e-8);
    // The load in the supply's lead: the other side's supply, of 9 V into 2 kΩ with S1 open.
    EXPECT_NEAR(Readings(bench_text()).at("current input.supply", "off"), 9 / 2010.0, 2e-8);
}

TEST(BenchCircuit, ResistanceIsOfAllThatIsJoined) {
    const Readings r(bench_text());
    // 10 kΩ ∥ 10 kΩ, and beside them R5, W1 and R8.
    EXPECT_NEAR(r.at("resistance across R6", unpowered), 1 / (2 / 10e3 + 1 / 3e3), 3);
    EXPECT_TRUE(std::ranges::none_of(r.measurements(), [](const Measurement& m) {
        return m.measure == "resistance across R7";  // the same points
    }));
    // R5 and what stands beside it: R8 + 5 kΩ + W1, and the rest by far larger.
    EXPECT_NEAR(r.at("resistance across R5", unpowered), 1 / (1 / 1e3 + 1 / 7e3), 2);
    // The whole output side seen from its supply: W1, R5 + R6 ∥ R7 + R8, the divider; no junction
    // conducts.
    EXPECT_NEAR(r.at("resistance at output.supply", unpowered), 1 / (1 / 1e3 + 1 / 7e3 + 1 / 2e6),
                2);
}

TEST(BenchCircuit, JunctionBesideAResistorDoesNotConductAtTheTestVoltage) {
    const std::string beside = R"(, "tap > D1 > return")";
    const std::string diode =
        R"(D1 = { kind = "diode", forward = "0.7 V at 1 mA", ideality = 1.8 })";
    const double alone = Readings(two_parts("", "")).at("resistance at tap", unpowered);
    const double with_diode = Readings(two_parts(beside, diode)).at("resistance at tap", unpowered);
    EXPECT_NEAR(alone, 10e3, 10);  // R2 hangs on a dark receiver alone
    EXPECT_NEAR(with_diode, alone, 0.01 * alone);
    EXPECT_LT(with_diode, alone);
}

// Where the meter's line, 3 V behind 3 kΩ, meets the diode's law by its definition.
double junction_by_bisection(double beside) {
    const double slope = 1.8 * 1.380649e-23 * 298.15 / 1.602176634e-19;
    const double saturation = 1e-3 / std::expm1((0.7 - 1e-3 * 0.5) / slope);
    double low = 0;
    double high = 3;
    for (int k = 0; k < 200; ++k) {
        const double current = 0.5 * (low + high) * 1e-3;  // through the diode, A
        const double voltage = slope * std::log1p(current / saturation) + 0.5 * current;
        const double given = (3 - voltage) / 3e3 - voltage / beside;
        (current < given ? low : high) = 0.5 * (low + high);
    }
    const double current = low * 1e-3;
    return slope * std::log1p(current / saturation) + 0.5 * current;
}

TEST(BenchCircuit, JunctionTestMeetsTheDiodesLaw) {
    const Readings r(bench_text());
    // The 2 MΩ beside it end at a supply that is off, which W1 joins to the return.
    EXPECT_NEAR(r.at("junction D1", unpowered), junction_by_bisection(2.001e6), 1e-4);
    const std::string parallel = R"(, "tap > D1 > return")";
    const std::string diode =
        R"(D1 = { kind = "diode", forward = "0.7 V at 1 mA", ideality = 1.8, series_resistance = "0.5 Ω" })";
    EXPECT_NEAR(Readings(two_parts(parallel, diode)).at("junction D1", unpowered),
                junction_by_bisection(10e3), 1e-4);
}

TEST(BenchCircuit, ReversedJunctionIsOverRange) {
    const Readings r(with(bench_text(), "anode > D1 > cathode", "cathode > D1 > anode"));
    const Readings good(bench_text());
    const auto shows = [&](const Readings& of, Node plus, Node minus) {
        std::vector<Measurement> one = {
            of.measurements()[index_of(of.measurements(), "junction D1", unpowered)]};
        one.front().plus = plus;
        one.front().minus = minus;
        const std::vector<double> none;
        const auto read =
            *nominal_readings(of.link(), {of.link().meter, one, none, cards_conditions});
        return shown(of.link().meter, MeasurementKind::junction, read.front());
    };
    const auto& m = good.measurements()[index_of(good.measurements(), "junction D1", unpowered)];
    EXPECT_LT(shows(good, m.plus, m.minus), 0.75);
    EXPECT_TRUE(std::isinf(shows(good, m.minus, m.plus)));
    // A reversed diode between the same points; the 2 MΩ beside it take 3 V · 2/2.003 all the same.
    const auto anode = *good.link().output.find_node("anode");
    const auto cathode = *good.link().output.find_node("cathode");
    EXPECT_TRUE(std::isinf(
        shows(r, *r.link().output.find_node("anode"), *r.link().output.find_node("cathode"))));
    EXPECT_LT(shows(good, anode, cathode), 0.75);
}

TEST(BenchCircuit, IsolationIsTheBridgeAndTheWayThere) {
    const Readings r(bench_text());
    EXPECT_TRUE(std::isinf(r.at("isolation return to return", unpowered)));
    EXPECT_TRUE(std::isinf(r.at("isolation supply to supply", unpowered)));
    constexpr Node supply = static_cast<Node>(1);
    const SideBridge returns{Node::side_return, Node::side_return, exactly(2)};
    EXPECT_NEAR(r.bridged("isolation return to return", returns), 2, 1e-3);
    // From supply to supply: R9, the bridge, and W1 with the 7 kΩ and the divider's 2 MΩ beside it.
    const double output = 1 / (1 / 1e3 + 1 / 7e3 + 1 / 2e6);
    EXPECT_NEAR(r.bridged("isolation supply to supply", returns), 2e3 + 2 + output, 5);
    const SideBridge supplies{supply, supply, exactly(100e3)};
    EXPECT_NEAR(r.bridged("isolation supply to supply", supplies), 100e3, 20);
    EXPECT_NEAR(r.bridged("isolation return to return", supplies), 100e3 + 2e3 + output, 20);
}

TEST(BenchCircuit, UnpoweredReadingsSeeNoSupply) {
    const Readings ten(bench_text());
    const Readings thirty(with(with(bench_text(), "\"10 V\"", "\"30 V\""), "\"9 V\"", "\"20 V\""));
    std::size_t seen = 0;
    for (std::size_t m = 0; m < ten.values().size(); ++m) {
        if (ten.measurements()[m].state != unpowered) continue;
        const double value = ten.values()[m];
        if (std::isinf(value)) {
            EXPECT_TRUE(std::isinf(thirty.values()[m])) << ten.measurements()[m].measure;
            continue;
        }
        ++seen;
        EXPECT_NEAR(thirty.values()[m], value, 1e-9 * std::abs(value) + 1e-9)
            << ten.measurements()[m].measure;
    }
    EXPECT_GT(seen, 15U);
}

TEST(BenchCircuit, SpecimensReadAsTheirOwnFiguresSay) {
    auto text = with(bench_text(), "W1 = { kind = \"load\", resistance = \"1 kΩ\" }",
                     "W1 = { kind = \"load\", resistance = \"1 kΩ ± 20 %\" }");
    const auto link = *link_from(text);
    const auto measurements = measurements_of(link);
    const std::vector<double> none;
    const auto readings =
        simulate_readings(link, {link.meter, measurements, none, cards_conditions}, {}, 7, 40);
    const auto circuit = *build_circuit(link);
    const auto slot = std::ranges::find(circuit.parameters, "W1.resistance", &Parameter::name) -
                      circuit.parameters.begin();
    std::set<double> distinct;
    for (std::size_t k = 0; k < 40; ++k) {
        const auto own = draw_specimen(circuit, cards_conditions, 7, k);
        const double resistance = own.values[static_cast<std::size_t>(slot)];
        EXPECT_NEAR(readings->at(k, index_of(measurements, "current W1", "on")), 10 / resistance,
                    1e-8);
        distinct.insert(resistance);
    }
    EXPECT_GT(distinct.size(), 30U);
}

}  // namespace
}  // namespace gapwright
