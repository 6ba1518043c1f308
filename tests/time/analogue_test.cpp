// Harmonics of known polynomials; the bias that bends a coupler least.
#include "time/analogue.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::with;

template <class Law>
Harmonics bent(double peak, const Law& law) {
    std::vector<double> period;
    for (int k = 0; k < 64; ++k) {
        period.push_back(law(peak * std::sin(2 * std::numbers::pi * k / 64)));
    }
    return harmonics_of(period);
}

// x = A·sin: a₂·x² has its second harmonic at a₂·A²/2, a₃·x³ its third at a₃·A³/4 and 3/4 of a₃·A³
// at the fundamental.
TEST(Harmonics, OfPolynomials) {
    const double a = 0.3;
    const auto square = bent(a, [](double x) { return 7 + 2 * x + 0.5 * x * x; });
    EXPECT_NEAR(square.fundamental, 2 * a, 1e-14);
    EXPECT_NEAR(square.second, 0.5 * a * a / 2 / (2 * a), 1e-14);
    EXPECT_NEAR(square.third, 0, 1e-14);
    EXPECT_NEAR(square.total, square.second, 1e-14);
    const auto cube = bent(a, [](double x) { return -x + 0.4 * x * x - 0.6 * x * x * x; });
    const double fundamental = a + 0.75 * 0.6 * a * a * a;
    EXPECT_NEAR(cube.fundamental, fundamental, 1e-14);
    EXPECT_NEAR(cube.second, 0.4 * a * a / 2 / fundamental, 1e-14);
    EXPECT_NEAR(cube.third, 0.6 * a * a * a / 4 / fundamental, 1e-14);
    EXPECT_NEAR(cube.total, std::hypot(cube.second, cube.third), 1e-14);
}

// Of a square wave of 64 samples harmonic h is 1/sin(πh/64) against 1/sin(π/64), odd ones alone.
TEST(Harmonics, OfASquareWave) {
    std::vector<double> period(64, 1.0);
    std::fill(period.begin() + 32, period.end(), -1.0);
    const auto found = harmonics_of(period);
    const auto share = [](int h) {
        return std::sin(std::numbers::pi / 64) / std::sin(std::numbers::pi * h / 64);
    };
    EXPECT_NEAR(found.second, 0, 1e-14);
    EXPECT_NEAR(found.third, share(3), 1e-14);
    double squares = 0;
    for (int h = 3; h < 32; h += 2) squares += share(h) * share(h);
    EXPECT_NEAR(found.total, std::sqrt(squares), 1e-14);
}

std::string meter(const std::string& drive = "supply", const std::string& supply = "5 V") {
    return R"(title = "Level meter"
[input]
supply = ")" +
           supply + R"("
paths = ["supply > R1 > U1 > return", "supply > P1 > R3 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
P1 = { card = "logic-output-5v" }
R1 = { kind = "resistor", value = "3.9 kΩ" }
R3 = { kind = "resistor", value = "10 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "1 kΩ" }
[analogue]
drive = ")" +
           drive + R"("
swing = "0.5 V"
output = "signal"
)";
}

std::expected<AnalogueAnswer, std::string> answer_of(const std::string& text) {
    const Link link = link_from(text).value();
    const LinkCircuit circuit = build_circuit(link).value();
    return analogue_answer(circuit.circuit, nominal_specimen(circuit, condition_ranges(link)),
                           analogue_question(link, circuit));
}

// Against the link solved anew at each of 64 instants, by a sum written out here.
TEST(Analogue, HarmonicsAreThoseOfPointsAtRest) {
    const auto answer = answer_of(meter());
    ASSERT_TRUE(answer) << answer.error();
    const Link link = link_from(meter()).value();
    const LinkCircuit circuit = build_circuit(link).value();
    const auto question = analogue_question(link, circuit);
    Specimen specimen = nominal_specimen(circuit, condition_ranges(link));
    double sine[4] = {};
    double cosine[4] = {};
    for (int k = 0; k < 64; ++k) {
        const double angle = 2 * std::numbers::pi * k / 64;
        specimen.set(question.level, 5 + 0.5 * std::sin(angle));
        const auto rest = solve_link(circuit.circuit, specimen.values, specimen.conditions);
        ASSERT_TRUE(rest);
        const double out = measure(question.output, (*rest)[0]);
        for (int h = 1; h <= 3; ++h) {
            sine[h] += out * std::sin(h * angle) / 32;
            cosine[h] += out * std::cos(h * angle) / 32;
        }
    }
    const auto peak = [&](int h) { return std::hypot(sine[h], cosine[h]); };
    const Harmonics& found = answer->present.harmonics;
    EXPECT_NEAR(found.fundamental, peak(1), 1e-8);
    EXPECT_NEAR(found.second, peak(2) / peak(1), 1e-7);
    EXPECT_NEAR(found.third, peak(3) / peak(1), 1e-7);
    EXPECT_GT(found.second, 1e-3) << "a coupler at 1 mA bends";
}

// A link built with the bias found has the harmonics that were told, and no less of them nearby.
TEST(Analogue, MostLinearBiasIsOne) {
    const auto answer = answer_of(meter());
    ASSERT_TRUE(answer) << answer.error();
    ASSERT_TRUE(answer->most_linear);
    const AnalogueBias best = *answer->most_linear;
    EXPECT_LT(best.harmonics.total, answer->present.harmonics.total);
    EXPECT_GE(best.drive, 0.25 * 5);
    EXPECT_LE(best.drive, 2 * 5);
    const auto built = [](double volts) {
        const auto one = answer_of(meter("supply", fmt::format("{:.12g} V", volts)));
        EXPECT_TRUE(one) << one.error();
        return one->present;
    };
    const AnalogueBias again = built(best.drive);
    EXPECT_NEAR(again.gain, best.gain, 1e-6 * std::abs(best.gain));
    EXPECT_NEAR(again.harmonics.total, best.harmonics.total, 1e-3 * best.harmonics.total);
    for (const double share : {0.5, 0.9, 0.995, 1.005, 1.05}) {
        // (from a quarter of the present drive to twice it is looked at)
        if (share * best.drive < 0.25 * 5 || share * best.drive > 2 * 5) continue;
        const AnalogueBias there = built(share * best.drive);
        EXPECT_GT(there.harmonics.total, best.harmonics.total) << share;
    }
}

// A logic output at rest at 0 V has no bias to look about, and here nothing to do with the coupler.
TEST(Analogue, SaysWhereNothingFollows) {
    const auto answer = answer_of(meter("P1"));
    ASSERT_FALSE(answer);
    EXPECT_NE(answer.error().find("does not follow"), std::string::npos);
}

TEST(Analogue, StopsWhereAsked) {
    std::stop_source source;
    source.request_stop();
    const Link link = link_from(meter()).value();
    const LinkCircuit circuit = build_circuit(link).value();
    const auto answer =
        analogue_answer(circuit.circuit, nominal_specimen(circuit, condition_ranges(link)),
                        analogue_question(link, circuit), source.get_token());
    ASSERT_FALSE(answer);
    EXPECT_EQ(answer.error(), "stopped");
}

}  // namespace
}  // namespace gapwright
