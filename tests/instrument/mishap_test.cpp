// Thousands of sweeps, each with mishaps of its own: after every one the output is truly off.
#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <iostream>
#include <map>
#include <mutex>
#include <random>
#include <thread>

#include "support/how_many.hpp"
#include "sweep_scene.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

const std::size_t fake_cases = how_many(400U, 100000U);  // the second: all of them
const std::size_t socket_cases = how_many(250U, 400U);
const std::size_t double_cases = how_many(500U, 10000U);
const std::size_t long_cases = how_many(100U, 1000U);
const std::size_t long_socket_cases = how_many(20U, 200U);
constexpr std::size_t points = 5;  // enough for every kind of step
constexpr std::size_t many_points = 30;

struct Case {
    MishapAt mishap = {};
    std::optional<MishapAt> second = {};  // soon after the first, perhaps while switching off
    unsigned seed = 0;
};

// How many messages each instrument gets in a sweep without mishaps: each is a place for one.
std::size_t messages_to(Role role, std::size_t of_points = points) {
    FakeScene scene({});
    EXPECT_EQ(scene.run(plan_of(of_points)).end, SweepEnd::complete);
    return scene.bench.log(role).size();
}

// Every kind at every message, or as many of these as asked for, drawn alike in every run.
std::vector<Case> cases(std::size_t count, unsigned seed, std::size_t of_points = points) {
    std::mt19937 random(seed);
    std::vector<Case> list;
    for (const Role role : {Role::supply, Role::meter}) {
        const std::size_t places = messages_to(role, of_points);
        for (std::size_t place = 0; place < places; ++place) {
            for (int kind = 0; kind < mishap_count; ++kind) {
                Case one;
                one.mishap = {static_cast<Mishap>(kind), role, place};
                one.seed = static_cast<unsigned>(random());
                list.push_back(one);
            }
        }
    }
    std::ranges::shuffle(list, random);
    list.resize(std::min(count, list.size()));
    return list;
}

BenchSettings settings_of(const Case& one, std::stop_source& stop) {
    BenchSettings settings;
    settings.seed = one.seed;
    settings.mishaps = {one.mishap};
    if (one.second) settings.mishaps.push_back(*one.second);
    settings.on_stop = [&stop] { stop.request_stop(); };
    return settings;
}

std::string name_of(const Case& one) {
    return mishap_name(one.mishap.kind) +
           (one.mishap.role == Role::supply ? " at the supply's" : " at the meter's") +
           " message " + std::to_string(one.mishap.message) +
           (one.second ? ", then " + mishap_name(one.second->kind) + " at the supply's message " +
                             std::to_string(one.second->message)
                       : "");
}

// Counted for each kind, and printed, so that one sees what was tried.
class Tally {
  public:
    void check(const Case& one, const SweepResult& result, const SimulatedBench& bench) {
        const std::lock_guard lock(mutex_);
        EXPECT_GE(bench.mishaps_happened(), 1U) << name_of(one);
        EXPECT_FALSE(bench.output_is_on()) << name_of(one) << ": " << result.message;
        // The first order of all is to switch off; before it nothing has been switched.
        const bool touched = std::ranges::count(bench.log(Role::supply), "OUTP OFF") > 0;
        if (one.second && one.second->message <= 2) {
            // Two wrong answers to who it is: afterwards it is not taken for the same, though it
            // is.
            EXPECT_FALSE(touched && result.output == OutputOff::untouched) << name_of(one);
        } else if (touched || result.output != OutputOff::untouched) {
            EXPECT_EQ(result.output, OutputOff::confirmed)
                << name_of(one) << ": " << result.message;
        }
        EXPECT_LE(bench.highest_current(), 20e-3 + 1e-9) << name_of(one);
        if (result.end != SweepEnd::complete) {
            EXPECT_FALSE(result.message.empty()) << name_of(one);
        }
        if (one.mishap.kind == Mishap::stop && result.end != SweepEnd::complete && !one.second) {
            EXPECT_EQ(result.end, SweepEnd::stopped) << name_of(one) << ": " << result.message;
        }
        // What was read is right, or the sweep has said that it failed.
        for (const SweepPoint& point : result.points) {
            if (one.second) break;
            EXPECT_NEAR(point.voltage, SimulatedLed{}.voltage(point.current), 2e-3) << name_of(one);
        }
        ++kinds_[mishap_name(one.mishap.kind)];
        was_on_ += bench.was_on_at_mishap() ? 1U : 0U;
        complete_ += result.end == SweepEnd::complete ? 1U : 0U;
        happened_ += bench.mishaps_happened();
    }

    // Most mishaps must have met an output that was on, or little was tried.
    void print(const std::string& how, std::size_t count) const {
        std::cout << how << ": " << count << " sweeps with " << happened_
                  << " mishaps, the output on at the first in " << was_on_ << " of them; "
                  << complete_ << " sweeps completed all the same; by kind:";
        for (const auto& [kind, times] : kinds_) std::cout << ' ' << kind << ' ' << times;
        std::cout << '\n';
        // A few drawn cases need not hold every kind; ten for each kind do.
        if (count >= 10 * static_cast<std::size_t>(mishap_count)) {
            EXPECT_EQ(kinds_.size(), static_cast<std::size_t>(mishap_count));
        }
        EXPECT_GT(was_on_, count / 2);
        EXPECT_LT(complete_, count * 2 / 3);
    }

  private:
    std::mutex mutex_;
    std::map<std::string, int> kinds_ = {};
    std::size_t was_on_ = 0;
    std::size_t complete_ = 0;
    std::size_t happened_ = 0;
};

void run_without_sockets(const std::vector<Case>& list, std::size_t of_points, double longest) {
    Tally tally;
    for (const Case& one : list) {
        std::stop_source stop;
        BenchSettings settings = settings_of(one, stop);
        settings.late_by = 3;
        settings.refuse_for = 5;
        FakeScene scene(settings);
        const SweepResult result = scene.run(plan_of(of_points), stop.get_token());
        tally.check(one, result, scene.bench);
        EXPECT_LT(scene.clock.now(), longest) << name_of(one);
    }
    tally.print(std::to_string(of_points) + " points, without sockets", list.size());
}

// Times are real here; eight at once, since most of it is waiting.
void run_through_sockets(const std::vector<Case>& list, std::size_t of_points) {
    Tally tally;
    std::atomic<std::size_t> next = 0;
    const auto work = [&] {
        for (std::size_t k = next++; k < list.size(); k = next++) {
            std::stop_source stop;
            SocketScene scene(settings_of(list[k], stop));
            const SweepResult result =
                scene.run(SocketScene::quick(plan_of(of_points)), stop.get_token());
            tally.check(list[k], result, scene.bench);
        }
    };
    {
        std::vector<std::jthread> workers;
        for (int k = 0; k < 8; ++k) workers.emplace_back(work);
    }
    tally.print(std::to_string(of_points) + " points, through sockets", list.size());
}

TEST(Mishaps, LeaveTheOutputOffWithoutSockets) {
    run_without_sockets(cases(fake_cases, 1), points, 120);
}

TEST(Mishaps, OfThirtyPointsLeaveTheOutputOff) {
    run_without_sockets(cases(long_cases, 4, many_points), many_points, 300);
    run_through_sockets(cases(long_socket_cases, 5, many_points), many_points);
}

// A second mishap at one of the eight messages to the supply that follow the first.
TEST(Mishaps, TwoLeaveTheOutputOff) {
    Tally tally;
    std::mt19937 random(3);
    const std::size_t places = messages_to(Role::supply);
    std::size_t met = 0;
    for (std::size_t k = 0; k < double_cases; ++k) {
        Case one;
        one.seed = static_cast<unsigned>(random());
        one.mishap = {static_cast<Mishap>(random() % mishap_count), Role::supply,
                      random() % places};
        one.second = MishapAt{static_cast<Mishap>(random() % mishap_count), Role::supply,
                              one.mishap.message + 1 + random() % 8};
        std::stop_source stop;
        BenchSettings settings = settings_of(one, stop);
        settings.late_by = 3;
        settings.refuse_for = 5;
        FakeScene scene(settings);
        tally.check(one, scene.run(plan_of(points), stop.get_token()), scene.bench);
        if (scene.bench.mishaps_happened() == 2) ++met;
    }
    tally.print("two each, without sockets", double_cases);
    EXPECT_GT(met, double_cases / 2);
}

TEST(Mishaps, LeaveTheOutputOffThroughSockets) {
    run_through_sockets(cases(socket_cases, 2), points);
}

}  // namespace
}  // namespace gapwright
