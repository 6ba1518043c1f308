// Trains of pulses and patterns of bits, and what is read from made-up answers to them.
#include "time/pulses.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

namespace gapwright {
namespace {

constexpr Alternation states{static_cast<StateIndex>(2), static_cast<StateIndex>(0)};

bool active_at(const Schedule& schedule, double time) {
    StateIndex now = schedule.from;
    for (const auto& change : schedule.changes) {
        if (change.at <= time) now = change.to;
    }
    return now == states.active;
}

std::vector<int> bits_of(const Schedule& schedule, double bit) {
    std::vector<int> bits;
    for (int k = 0; k < pattern_bits(); ++k) bits.push_back(active_at(schedule, (k + 0.5) * bit));
    return bits;
}

TEST(PulseTrain, IsOnePulseAPeriod) {
    const auto train = pulse_train(states, 10e-3, 3e-3, 4);
    EXPECT_EQ(train.from, states.rest);
    ASSERT_EQ(train.changes.size(), 8U);
    for (int k = 0; k < 4; ++k) {
        const auto& up = train.changes[static_cast<std::size_t>(2 * k)];
        const auto& down = train.changes[static_cast<std::size_t>(2 * k) + 1];
        EXPECT_NEAR(up.at, k * 10e-3, 1e-15);
        EXPECT_EQ(up.to, states.active);
        EXPECT_NEAR(down.at, k * 10e-3 + 3e-3, 1e-15);
        EXPECT_EQ(down.to, states.rest);
    }
}

TEST(BitPattern, HasEveryGroupOfFiveOnceInItsCycle) {
    const double bit = 32e-6;
    const auto bits = bits_of(bit_pattern(states, bit), bit);
    const int cycle = pattern_bits() - settling_bits;
    ASSERT_EQ(cycle, 32);
    std::multiset<int> groups;
    for (int k = 0; k < cycle; ++k) {
        int group = 0;
        for (int j = 0; j < 5; ++j) {
            group = 2 * group + bits[static_cast<std::size_t>(settling_bits + (k + j) % cycle)];
        }
        groups.insert(group);
    }
    for (int group = 0; group < 32; ++group) EXPECT_EQ(groups.count(group), 1U) << group;
    // As sent, after the settling bits: every bit that is looked at comes after one of all fours.
    std::multiset<int> sent;
    for (int k = settling_bits; k < pattern_bits(); ++k) {
        int group = 0;
        for (int j = -4; j <= 0; ++j) group = 2 * group + bits[static_cast<std::size_t>(k + j)];
        sent.insert(group);
    }
    for (int group = 0; group < 32; ++group) EXPECT_EQ(sent.count(group), 1U) << group;
}

TEST(BitPattern, ChangesOnlyAtEdgesOfBitsAndEndsAtRest) {
    const double bit = 32e-6;
    const auto pattern = bit_pattern(states, bit);
    EXPECT_EQ(pattern.from, states.rest);
    EXPECT_EQ(pattern.changes.back().to, states.rest);
    StateIndex now = pattern.from;
    double last = -1;
    for (const auto& change : pattern.changes) {
        EXPECT_NE(change.to, now) << change.at;
        EXPECT_GT(change.at, last);
        EXPECT_NEAR(change.at / bit, std::round(change.at / bit), 1e-9);
        EXPECT_LE(change.at, (pattern_bits() + 1e-9) * bit);
        now = change.to;
        last = change.at;
    }
}

// One watch with these crossings, from a value before.
Waveform answer(double first, std::vector<Crossing> crossings) {
    Waveform wave;
    wave.first = {first};
    wave.crossings = std::move(crossings);
    return wave;
}

TEST(LastPulse, IsTimedFromTheDrivesOwnEdges) {
    const auto train = pulse_train(states, 10, 4, 3);  // the last from 20 to 24 s
    const auto wave = answer(0, {{0, 1, true},
                                 {0, 7, false},
                                 {0, 11, true},
                                 {0, 17, false},
                                 {0, 20.5, true},
                                 {0, 26, false}});
    const Pulse pulse = last_pulse(train, wave, 0, 0.5);
    EXPECT_EQ(pulse.begin, 20);
    EXPECT_EQ(pulse.end, 24);
    ASSERT_TRUE(pulse.begin_delay && pulse.end_delay);
    EXPECT_NEAR(*pulse.begin_delay, 0.5, 1e-12);
    EXPECT_NEAR(*pulse.end_delay, 2, 1e-12);
    EXPECT_NEAR(pulse.width_error(), 1.5, 1e-12);
}

TEST(LastPulse, OfAnInvertingLinkFallsFirst) {
    const auto train = pulse_train(states, 10, 4, 1);
    const auto wave = answer(5, {{0, 3, false}, {0, 5, true}});
    const Pulse pulse = last_pulse(train, wave, 0, 2.5);
    ASSERT_TRUE(pulse.begin_delay && pulse.end_delay);
    EXPECT_NEAR(*pulse.begin_delay, 3, 1e-12);
    EXPECT_NEAR(*pulse.end_delay, 1, 1e-12);
    EXPECT_NEAR(pulse.width_error(), -2, 1e-12);
}

// Later than the drive's own end: short, but there.
TEST(LastPulse, MayBeginAfterTheDriveHasEnded) {
    const auto train = pulse_train(states, 10, 4, 1);
    const auto wave = answer(0, {{0, 4.5, true}, {0, 5, false}});
    EXPECT_NEAR(last_pulse(train, wave, 0, 1).width_error(), -3.5, 1e-12);
}

TEST(LastPulse, ThatDoesNotArriveIsAllMissing) {
    const auto train = pulse_train(states, 10, 4, 2);
    const auto none = last_pulse(train, answer(0, {{0, 1, true}, {0, 6, false}}), 0, 1);
    EXPECT_FALSE(none.begin_delay);
    EXPECT_FALSE(none.end_delay);
    EXPECT_EQ(none.width_error(), -4);
    // Crossings of another watch are not its own.
    Waveform other = answer(0, {{1, 11, true}, {1, 15, false}});
    other.first = {0, 0};
    EXPECT_FALSE(last_pulse(train, other, 0, 1).begin_delay);
    EXPECT_TRUE(last_pulse(train, other, 1, 1).begin_delay);
}

// The pattern as a square wave from `low` to `high`, so much later, with ramps of `ramp`.
Waveform traced_pattern(const Schedule& pattern, double low, double high, double later,
                        double ramp) {
    Waveform wave;
    wave.first = {low};
    wave.traces.resize(1);
    auto& [times, values] = wave.traces[0];
    times = {0};
    values = {low};
    for (const auto& change : pattern.changes) {
        const bool up = change.to == states.active;
        times.push_back(change.at + later);
        values.push_back(values.back());
        times.push_back(change.at + later + ramp);
        values.push_back(up ? high : low);
        wave.crossings.push_back({0, change.at + later + 0.5 * ramp, up == (high > low)});
    }
    return wave;
}

TEST(Eye, OfACleanSignalIsAllOfIt) {
    const auto pattern = bit_pattern(states, 1);
    const Eye eye = eye_of(pattern, traced_pattern(pattern, 0.2, 4.8, 0.3, 0.1), 0, 2.5, 1);
    EXPECT_NEAR(eye.delay, 0.35, 1e-12);
    EXPECT_NEAR(eye.lowest_high, 4.8, 1e-12);
    EXPECT_NEAR(eye.highest_low, 0.2, 1e-12);
    EXPECT_NEAR(eye.opening(), 4.6, 1e-12);
    EXPECT_EQ(eye.starts.size(), static_cast<std::size_t>(pattern_bits() - settling_bits));
    EXPECT_EQ(eye.starts.front(), settling_bits);
}

TEST(Eye, OfAnInvertingLinkIsAsOpen) {
    const auto pattern = bit_pattern(states, 1);
    const Eye eye = eye_of(pattern, traced_pattern(pattern, 4.8, 0.2, 0.3, 0.1), 0, 2.5, 1);
    EXPECT_NEAR(eye.lowest_high, 4.8, 1e-12);
    EXPECT_NEAR(eye.highest_low, 0.2, 1e-12);
}

// One bit that comes out wrong closes the eye, and what happens before the bits that are looked at
// does not.
TEST(Eye, IsAsOpenAsItsWorstBit) {
    const auto pattern = bit_pattern(states, 1);
    auto wave = traced_pattern(pattern, 0, 5, 0, 0.1);
    const auto sag = [&](double from, double to, double value) {
        for (std::size_t k = 0; k < wave.traces[0].times.size(); ++k) {
            const double at = wave.traces[0].times[k];
            if (at >= from && at <= to) wave.traces[0].values[k] = value;
        }
    };
    sag(0, 4, 2);
    EXPECT_NEAR(eye_of(pattern, wave, 0, 2.5, 1).opening(), 5, 1e-12);
    // The single one after five noughts rises to 1.5 only.
    sag(11 - 1e-6, 12 + 0.01, 1.5);
    ASSERT_TRUE(active_at(pattern, 11.5));
    const Eye eye = eye_of(pattern, wave, 0, 2.5, 1);
    EXPECT_LT(eye.lowest_high, 2);
    EXPECT_LT(eye.opening(), 2);
}

TEST(Trace, IsStraightBetweenItsPointsAndJumpsWhereItsTimesRepeat) {
    const Trace trace{{0, 1, 1, 3}, {0, 2, 4, 0}};
    EXPECT_EQ(trace.at(-1), 0);
    EXPECT_NEAR(trace.at(0.5), 1, 1e-12);
    EXPECT_NEAR(trace.at(2), 2, 1e-12);
    EXPECT_EQ(trace.at(1), 4);
    EXPECT_EQ(trace.at(9), 0);
}

}  // namespace
}  // namespace gapwright
