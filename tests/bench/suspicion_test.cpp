// Bayes' rule over dictionaries made by hand, against the rule worked out here.
#include "bench/reasoning/suspicion.hpp"

#include <gtest/gtest.h>

#include "bench/hand_dictionary.hpp"

namespace gapwright {
namespace {

using testing_support::all_read;
using testing_support::hand_dictionary;
using testing_support::HandFault;
using testing_support::meter_off_by;
using testing_support::NormalNumbers;
using testing_support::voltage_error;
using testing_support::voltage_scale;

constexpr double off_by = 0.2;  // of a voltage: by far more than anything else that widens

double gaussian(double away, double deviation) {
    return std::exp(-0.5 * away * away / deviation / deviation) / deviation /
           std::sqrt(2 * std::numbers::pi);
}

// How likely a meter that is off by up to `off_by` shows `shown` of a value, on the scale.
double likelihood(double shown, double value) {
    return gaussian(voltage_scale(shown) - voltage_scale(value),
                    std::hypot(voltage_error(off_by, shown), model_deviation));
}

TEST(Suspicion, BeforeAnyReadingIsThePrior) {
    const auto dictionary = hand_dictionary({{"", 0, {all_read(1)}},
                                             {"R1 is open", 3, {all_read(2)}},
                                             {"R2 is open", 1, {all_read(3)}}},
                                            meter_off_by(off_by));
    const Suspicion suspicion(dictionary, 0.3);
    const auto& shares = suspicion.of_faults();
    EXPECT_NEAR(shares[0], 0.3, 1e-12);
    EXPECT_NEAR(shares[1] / shares[2], 3, 1e-12);
    EXPECT_NEAR(shares[0] + shares[1] + shares[2] + suspicion.unexplained(), 1, 1e-12);
    EXPECT_GT(suspicion.unexplained(), 0);
    EXPECT_LT(suspicion.unexplained(), 0.1);
    EXPECT_NEAR(Suspicion(dictionary, 0).of_faults()[0], 0, 1e-12);
    EXPECT_NEAR(Suspicion(dictionary, 1).of_faults()[0], 1, 1e-12);
}

TEST(Suspicion, OneReadingWeighsTwoSuspects) {
    const auto dictionary = hand_dictionary(
        {{"", 0, {all_read(1)}}, {"a", 1, {all_read(2)}}, {"b", 2, {all_read(2.5)}}},
        meter_off_by(off_by));
    Suspicion suspicion(dictionary, 0.1);
    const auto before = suspicion.of_faults();
    for (const double shown : {1.8, 2.0, 2.2, 2.4}) {
        suspicion.weigh({{0, shown}});
        const auto& shares = suspicion.of_faults();
        EXPECT_NEAR(shares[1] / shares[2], likelihood(shown, 2) / likelihood(shown, 2.5) / 2,
                    1e-4 * shares[1] / shares[2]);
        EXPECT_NEAR(shares[0] / shares[1],
                    before[0] / before[1] * likelihood(shown, 1) / likelihood(shown, 2),
                    1e-3 * shares[0] / shares[1]);
        EXPECT_NEAR(shares[0] + shares[1] + shares[2] + suspicion.unexplained(), 1, 1e-12);
    }
}

TEST(Suspicion, TwoReadingsWeighThreeSuspects) {
    const auto dictionary = hand_dictionary({{"", 0, {all_read(4), all_read(1)}},
                                             {"a", 1, {all_read(4), all_read(1.3)}},
                                             {"b", 1, {all_read(5), all_read(1)}},
                                             {"c", 0.5, {all_read(5), all_read(1.3)}}},
                                            meter_off_by(off_by));
    Suspicion suspicion(dictionary, 0.25);
    suspicion.weigh({{0, 4.6}, {1, 1.1}});
    const double prior[] = {1, 1, 0.5};
    const double first[] = {4, 5, 5};
    const double second[] = {1.3, 1, 1.3};
    double all = 0;
    double own[3];
    for (std::size_t k = 0; k < 3; ++k) {
        own[k] = prior[k] * likelihood(4.6, first[k]) * likelihood(1.1, second[k]);
        all += own[k];
    }
    const auto& shares = suspicion.of_faults();
    const double faulty = shares[1] + shares[2] + shares[3];
    for (std::size_t k = 0; k < 3; ++k) EXPECT_NEAR(shares[k + 1] / faulty, own[k] / all, 1e-5);
}

TEST(Suspicion, CellsOfOneSuspectAddUp) {
    const auto dictionary = hand_dictionary({{"", 0, {all_read(1)}},
                                             {"a", 1, {all_read(2)}},
                                             {"b", 1, {all_read(2.1)}},
                                             {"a", 0.4, {all_read(2.4)}}},
                                            meter_off_by(off_by));
    ASSERT_EQ(dictionary.suspects.size(), 3U);
    Suspicion suspicion(dictionary, 0.1);
    suspicion.weigh({{0, 2.2}});
    const auto& faults = suspicion.of_faults();
    const auto suspects = suspicion.of_suspects();
    EXPECT_NEAR(suspects[0], faults[0], 1e-15);
    EXPECT_NEAR(suspects[1], faults[1] + faults[3], 1e-15);
    EXPECT_NEAR(suspects[2], faults[2], 1e-15);
    EXPECT_NEAR(suspects[1] / suspects[2],
                (likelihood(2.2, 2) + 0.4 * likelihood(2.2, 2.4)) / likelihood(2.2, 2.1), 1e-4);
}

TEST(Suspicion, OrderOfReadingsAndEarlierOnesDoNotMatter) {
    NormalNumbers normal(3);
    std::vector<HandFault> faults;
    for (const char* name : {"", "a", "b", "c"}) {
        HandFault fault{name, 1, {{}, {}, {}}};
        for (std::size_t m = 0; m < 3; ++m) {
            const double middle = 2 + 0.5 * normal();
            for (int k = 0; k < 60; ++k) fault.readings[m].push_back(middle + 0.1 * normal());
        }
        faults.push_back(fault);
    }
    const auto dictionary = hand_dictionary(faults, meter_off_by(0.02));
    Suspicion one(dictionary, 0.1);
    Suspicion other(dictionary, 0.1);
    one.weigh({{0, 2.0}, {1, 2.1}, {2, 1.9}});
    other.weigh({{2, 5.0}});
    other.weigh({{2, 1.9}, {0, 2.0}, {1, 2.1}});
    for (std::size_t f = 0; f < 4; ++f) {
        EXPECT_NEAR(one.of_faults()[f], other.of_faults()[f], 1e-9);
    }
    one.weigh({});
    EXPECT_NEAR(one.of_faults()[0], 0.1, 1e-12);
}

TEST(Suspicion, ReadingFarFromAllIsUnexplained) {
    const auto dictionary =
        hand_dictionary({{"", 0, {all_read(1)}}, {"a", 1, {all_read(2)}}, {"b", 1, {all_read(3)}}},
                        meter_off_by(0.02));
    Suspicion suspicion(dictionary, 0.1);
    suspicion.weigh({{0, 3.0}});
    EXPECT_LT(suspicion.unexplained(), 0.01);
    double before = 0;
    for (const double shown : {3.0, 3.1, 3.2, 3.5, 6.0}) {
        suspicion.weigh({{0, shown}});
        EXPECT_GE(suspicion.unexplained(), before);
        before = suspicion.unexplained();
    }
    EXPECT_GT(before, 0.999);
}

// Good: the second is half of the first, whatever the supply; faulty: 45 % of it.
TEST(Suspicion, ReadingsThatMoveTogetherTellWhatNoneTellsAlone) {
    std::vector<double> first;
    std::vector<double> half;
    std::vector<double> less;
    for (int k = 0; k < 400; ++k) {
        first.push_back(10 * (0.8 + 0.4 * k / 399.0));  // ± 20 %
        half.push_back(0.5 * first.back());
        less.push_back(0.45 * first.back());
    }
    const auto dictionary =
        hand_dictionary({{"", 0, {first, half}}, {"ratio", 1, {first, less}}}, meter_off_by(0.005));
    Suspicion suspicion(dictionary, 0.5);
    suspicion.weigh({{0, 10.0}});
    EXPECT_NEAR(suspicion.of_faults()[1], 0.5, 0.05);
    suspicion.weigh({{1, 4.75}});
    EXPECT_NEAR(suspicion.of_faults()[1], 0.5, 0.1);
    suspicion.weigh({{0, 10.0}, {1, 4.5}});
    EXPECT_GT(suspicion.of_faults()[1], 0.99);
    suspicion.weigh({{0, 10.0}, {1, 5.0}});
    EXPECT_GT(suspicion.of_faults()[0], 0.99);
    suspicion.weigh({{0, 11.0}, {1, 4.95}});  // of a fault at another supply
    EXPECT_GT(suspicion.of_faults()[1], 0.99);
}

}  // namespace
}  // namespace gapwright
