// Expected information against entropies by hand and a channel integrated here.
#include "bench/reasoning/next_measurement.hpp"

#include <gtest/gtest.h>

#include <array>

#include "bench/hand_dictionary.hpp"

namespace gapwright {
namespace {

using testing_support::all_read;
using testing_support::hand_dictionary;
using testing_support::HandFault;
using testing_support::meter_off_by;
using testing_support::NormalNumbers;
using testing_support::voltage_at;

// Without "no fault", so that suspects of equal weight are equally likely.
constexpr double none = 0;
// Of what is wholly apart: histograms end three and a half deviations from the outermost suspect.
constexpr double cut_off = 0.01;
const HandFault nothing{"", 0, {all_read(0.1), all_read(0.1)}};

double bits(const FaultDictionary& dictionary, std::size_t measurement = 0) {
    const Suspicion suspicion(dictionary, none);
    return propose(suspicion, std::array{measurement}, unpowered).front().information;
}

TEST(NextMeasurement, TwoApartAreOneBitAndTwoAlikeNone) {
    const auto dictionary = hand_dictionary(
        {nothing, {"a", 1, {all_read(1), all_read(2)}}, {"b", 1, {all_read(5), all_read(2)}}},
        meter_off_by(0.005));
    EXPECT_NEAR(bits(dictionary, 0), 1, 1e-3);
    EXPECT_NEAR(bits(dictionary, 1), 0, 1e-9);
}

TEST(NextMeasurement, OneOfFourApart) {
    std::vector<HandFault> faults{nothing};
    for (const char* name : {"a", "b", "c"}) faults.push_back({name, 1, {all_read(1)}});
    faults.push_back({"d", 1, {all_read(3)}});
    // The entropy of ¼ and ¾.
    EXPECT_NEAR(bits(hand_dictionary(faults, meter_off_by(0.005))), 0.8113, 1e-3);
}

TEST(NextMeasurement, FourAllApartAreTwoBits) {
    std::vector<HandFault> faults{nothing};
    double value = 1;
    for (const char* name : {"a", "b", "c", "d"}) {
        faults.push_back({name, 1, {all_read(value)}});
        value *= 2;
    }
    EXPECT_NEAR(bits(hand_dictionary(faults, meter_off_by(0.005))), 2, cut_off);
}

TEST(NextMeasurement, CellsOfOneSuspectNeedNotBeToldApart) {
    const auto dictionary = hand_dictionary(
        {nothing, {"a", 0.5, {all_read(1)}}, {"a", 0.5, {all_read(4)}}, {"b", 1, {all_read(2)}}},
        meter_off_by(0.005));
    EXPECT_NEAR(bits(dictionary), 1, 1e-3);
}

// Mutual information of a sign and itself with Gaussian noise added: means ± 1, deviation σ.
double binary_input_channel(double deviation) {
    double sum = 0;
    constexpr int steps = 40000;
    const double end = 1 + 10 * deviation;
    const double width = 2 * end / steps;
    const auto density = [&](double y, double mean) {
        const double away = (y - mean) / deviation;
        return std::exp(-0.5 * away * away) / deviation / std::sqrt(2 * std::numbers::pi);
    };
    for (int k = 0; k < steps; ++k) {
        const double y = -end + (k + 0.5) * width;
        const double plus = density(y, 1);
        const double all = 0.5 * (plus + density(y, -1));
        if (plus > 0) sum += plus * std::log2(plus / all) * width;
    }
    return sum;
}

TEST(NextMeasurement, OverlappingSuspectsAreAGaussianChannel) {
    constexpr double off_by = 0.1;
    // Of the meter and the model, on the scale.
    const double deviation = std::hypot(off_by / std::numbers::sqrt3, model_deviation);
    EXPECT_NEAR(binary_input_channel(1), 0.486, 0.001);  // 0 dB; from memory
    for (const double sigmas : {0.5, 1.0, 2.0}) {
        const double middle = testing_support::voltage_scale(3);
        const auto dictionary =
            hand_dictionary({nothing,
                             {"a", 1, {all_read(voltage_at(middle - sigmas * deviation))}},
                             {"b", 1, {all_read(voltage_at(middle + sigmas * deviation))}}},
                            meter_off_by(off_by));
        const double expected = binary_input_channel(1 / sigmas);
        // Three boxes in place of a Gaussian: of means much nearer than a deviation, their Fisher
        // information counts. f = ¾ − x² to ½ and (3/2 − x)²/2 to 3/2, of variance ¼, have
        // ∫ f′²/f = 4 + 2·(√3·ln(2 + √3) − 2) = 4.56 in place of 4: 14 % too much at most.
        const double allowed = sigmas < 1 ? 0.14 : 0.03;
        EXPECT_NEAR(bits(dictionary), expected, allowed * expected) << sigmas;
    }
}

// The same where the specimens themselves are spread, and the meter hardly errs.
TEST(NextMeasurement, SpreadSpecimensAreAGaussianChannelToo) {
    NormalNumbers normal(2);
    HandFault a{"a", 1, {{}}};
    HandFault b{"b", 1, {{}}};
    for (int k = 0; k < 2000; ++k) {
        a.readings[0].push_back(voltage_at(5.5 + 0.1 * normal()));
        b.readings[0].push_back(voltage_at(5.7 + 0.1 * normal()));
    }
    const auto dictionary = hand_dictionary({nothing, a, b}, meter_off_by(0.002));
    EXPECT_NEAR(bits(dictionary), binary_input_channel(1), 0.05);
}

// A third suspect far away, which makes the histogram wide, hides nothing of two that are near.
TEST(NextMeasurement, SuspectFarAwayHidesNothing) {
    const auto dictionary = hand_dictionary(
        {nothing, {"a", 1, {all_read(5)}}, {"b", 1, {all_read(6)}}, {"c", 1, {all_read(-5)}}},
        meter_off_by(0.005));
    EXPECT_NEAR(bits(dictionary), std::log2(3), 0.05);
}

TEST(NextMeasurement, WorthIsInformationForItsCost) {
    auto dictionary = hand_dictionary({nothing,
                                       {"a", 1, {all_read(1), all_read(1), all_read(1)}},
                                       {"b", 1, {all_read(5), all_read(5), all_read(1)}},
                                       {"c", 1, {all_read(9), all_read(1), all_read(1)}}},
                                      meter_off_by(0.005));
    for (auto& m : dictionary.measurements) m.cost = 1;
    dictionary.measurements[0].cost = 4;
    const Suspicion suspicion(dictionary, none);
    const std::string now = dictionary.measurements[0].state;
    const auto proposals = propose(suspicion, std::array<std::size_t, 3>{0, 1, 2}, now);
    ASSERT_EQ(proposals.size(), 3U);
    EXPECT_EQ(proposals[0].measurement, 1U);  // 0.918 bits for 1 before 1.585 for 4
    EXPECT_EQ(proposals[1].measurement, 0U);
    EXPECT_EQ(proposals[2].measurement, 2U);
    EXPECT_NEAR(proposals[0].information, std::log2(3) - 2.0 / 3, cut_off);
    EXPECT_NEAR(proposals[1].information, std::log2(3), cut_off);
    for (const Proposal& p : proposals) {
        const Measurement& m = dictionary.measurements[p.measurement];
        const double cost = m.cost + (m.state == now ? 0 : 0.4);  // another state has to be set
        EXPECT_NEAR(p.worth, p.information / cost, 1e-12);
    }
    // Another state costs 0.4 of a reading, the power 1.5.
    const auto from = [&](std::string_view state) {
        return propose(suspicion, std::array<std::size_t, 1>{1}, state).front();
    };
    EXPECT_NEAR(from("another").worth, from(now).information / 1.4, 1e-12);
    EXPECT_NEAR(from(dictionary.measurements[1].state).worth, from(now).information, 1e-12);
    EXPECT_NEAR(from(unpowered).worth, from(now).information / 2.5, 1e-12);
    dictionary.measurements[0].cost = 1;
    EXPECT_EQ(propose(suspicion, std::array<std::size_t, 3>{0, 1, 2}, "on").front().measurement,
              0U);
    EXPECT_TRUE(propose(suspicion, {}, "on").empty());
}

TEST(NextMeasurement, ProposalsTakeReadingsIntoAccount) {
    // The first tells {a, b} from c; then the second has nothing to tell of c.
    const auto dictionary = hand_dictionary({nothing,
                                             {"a", 1, {all_read(1), all_read(1)}},
                                             {"b", 1, {all_read(1), all_read(3)}},
                                             {"c", 1, {all_read(5), all_read(9)}}},
                                            meter_off_by(0.005));
    Suspicion suspicion(dictionary, none);
    EXPECT_NEAR(propose(suspicion, std::array<std::size_t, 1>{1}, "on").front().information,
                std::log2(3), cut_off);
    suspicion.weigh({{0, 1.0}});
    EXPECT_NEAR(propose(suspicion, std::array<std::size_t, 1>{1}, "on").front().information, 1,
                cut_off);
    suspicion.weigh({{0, 5.0}});
    EXPECT_NEAR(propose(suspicion, std::array<std::size_t, 1>{1}, "on").front().information, 0,
                1e-3);
}

TEST(NextMeasurement, ToldApartIsSymmetricAndAtMostOneBit) {
    NormalNumbers normal(9);
    std::vector<HandFault> faults{{"", 0, {{}, {}}}};
    for (const char* name : {"a", "b", "c", "d"})
        faults.push_back({name, 1 + 3 * normal() * normal(), {{}, {}}});
    for (HandFault& fault : faults) {
        const double middle = 5 + 0.2 * normal();
        const double other = 5 + 0.05 * normal();
        for (int k = 0; k < 80; ++k) {
            fault.readings[0].push_back(voltage_at(middle + 0.1 * normal()));
            fault.readings[1].push_back(voltage_at(other + 0.1 * normal()));
        }
    }
    const auto dictionary = hand_dictionary(faults, meter_off_by(0.02));
    const Suspicion suspicion(dictionary, 0.1);
    constexpr std::array<std::size_t, 2> candidates{0, 1};
    for (std::size_t a = 0; a < 5; ++a) {
        for (std::size_t b = 0; b < a; ++b) {
            const double apart = told_apart(suspicion, a, b, candidates);
            EXPECT_NEAR(apart, told_apart(suspicion, b, a, candidates), 1e-9);
            EXPECT_GE(apart, 0);
            EXPECT_LE(apart, 1 + 1e-9);
            EXPECT_GE(apart, told_apart(suspicion, a, b, std::span(candidates).first(1)) - 1e-12);
        }
    }
    EXPECT_EQ(told_apart(suspicion, 1, 2, {}), 0);
}

// However unlikely one of them is, they count as equally likely.
TEST(NextMeasurement, ToldApartTakesBothAsEquallyLikely) {
    const auto dictionary = hand_dictionary({nothing,
                                             {"a", 1, {all_read(1), all_read(2), all_read(2)}},
                                             {"b", 1, {all_read(5), all_read(2), all_read(4)}}},
                                            meter_off_by(0.005));
    Suspicion suspicion(dictionary, none);
    for (const double shown : {1.0, 1.5, 5.0}) {  // which all but rules one of them out
        suspicion.weigh({{0, shown}});
        EXPECT_NEAR(told_apart(suspicion, 1, 2, std::array<std::size_t, 1>{1}), 0, 1e-3);
        EXPECT_NEAR(told_apart(suspicion, 1, 2, std::array<std::size_t, 1>{2}), 1, cut_off);
    }
}

}  // namespace
}  // namespace gapwright
