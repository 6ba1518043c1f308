// Readings with the power off, from side to side, and of specimens, against sums by hand.
#include "bench/meter/simulated_readings.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "bench/hand_readings.hpp"

namespace gapwright {
namespace {

using testing_support::bench_text;
using testing_support::cards_conditions;
using testing_support::index_of;
using testing_support::link_from;
using testing_support::Readings;
using testing_support::with;

TEST(SimulatedReadings, IsolationIsTheBridgeAndTheWayThere) {
    const Readings r(bench_text());
    EXPECT_TRUE(std::isinf(r.at("isolation", unpowered)));
    EXPECT_TRUE(std::isinf(r.at("isolation input.supply to all of the output", unpowered)));
    constexpr Node supply = static_cast<Node>(1);
    const SideBridge returns{Node::side_return, Node::side_return, exactly(2)};
    EXPECT_NEAR(r.bridged("isolation", returns), 2, 0.03);
    EXPECT_NEAR(r.bridged("isolation input.return to all of the output", returns), 2, 0.03);
    // From the supply of the input: R9 and the bridge; of the output: W1 with the 7 kΩ and the
    // divider's 2 MΩ beside it.
    EXPECT_NEAR(r.bridged("isolation input.supply to all of the output", returns), 2e3 + 2, 3);
    const double output = 1 / (1 / 1e3 + 1 / 7e3 + 1 / 2e6);
    EXPECT_NEAR(r.bridged("isolation output.supply to all of the input", returns), 2 + output, 3);
    const SideBridge supplies{supply, supply, exactly(100e3)};
    EXPECT_NEAR(r.bridged("isolation", supplies), 100e3, 20);
    EXPECT_NEAR(r.bridged("isolation input.return to all of the output", supplies), 100e3 + 2e3,
                20);
}

TEST(SimulatedReadings, UnpoweredReadingsSeeNoSupply) {
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

TEST(SimulatedReadings, SpecimensReadAsTheirOwnFiguresSay) {
    auto text = with(bench_text(), "W1 = { kind = \"load\", resistance = \"1 kΩ\" }",
                     "W1 = { kind = \"load\", resistance = \"1 kΩ ± 20 %\" }");
    const auto link = *link_from(text);
    const auto measurements = measurements_of(link);
    const std::vector<double> none;
    const auto readings =
        simulate_readings(link, {link.meter, measurements, none, cards_conditions}, {}, 7, 40);
    const auto circuit = *build_circuit(link);
    const auto slot =
        to_index(circuit.find(figure_of(*link.find_part("W1"), Key::resistance)).value());
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
