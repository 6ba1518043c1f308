// Work on several threads: all of it done, exceptions carried out, threads that do not start.
#include "population/at_once.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>
#include <thread>

#include "support/no_threads.hpp"

namespace gapwright {
namespace {

using testing_support::NoThreads;

TEST(AtOnce, DoesEachOnce) {
    for (const unsigned threads : {1U, 2U, 5U}) {
        std::vector<std::atomic<int>> done(100);
        at_once(done.size(), {.threads = threads}, [&](std::size_t k) { ++done[k]; });
        for (const auto& times : done) EXPECT_EQ(times, 1) << threads;
    }
    at_once(0, {}, [](std::size_t) { FAIL(); });
}

TEST(AtOnce, AnExceptionComesOutAndEndsTheRest) {
    constexpr std::size_t more_than_can_be_done = std::size_t{1} << 50U;
    for (const unsigned threads : {1U, 4U}) {
        EXPECT_THROW(at_once(more_than_can_be_done, {.threads = threads},
                             [](std::size_t k) {
                                 if (k == 7) throw std::runtime_error("seventh");
                             }),
                     std::runtime_error)
            << threads;
    }
}

TEST(OnThreads, AnExceptionOfAnotherThreadComesOut) {
    const auto here = std::this_thread::get_id();
    EXPECT_THROW(on_threads(2,
                            [&](std::size_t worker) {
                                EXPECT_EQ(worker == 0, std::this_thread::get_id() == here);
                                if (worker == 1) throw std::bad_alloc();
                            }),
                 std::bad_alloc);
}

std::atomic<bool> second_is_gone = false;
struct Leaver {
    ~Leaver() {
        second_is_gone = true;
        second_is_gone.notify_all();
    }
};

TEST(OnThreads, OfSeveralExceptionsTheFirstComesOutWhenAllHaveEnded) {
    second_is_gone = false;
    std::atomic<int> ended = 0;
    try {
        on_threads(3, [&](std::size_t worker) {
            if (worker == 1) {
                thread_local const Leaver at_the_end_of_this_thread;
                static_cast<void>(at_the_end_of_this_thread);
                ++ended;
                throw std::runtime_error("first");
            }
            second_is_gone.wait(false);
            ++ended;
            throw std::logic_error("later");
        });
        FAIL() << "nothing came out";
    } catch (const std::exception& error) {
        EXPECT_STREQ(error.what(), "first");
    }
    EXPECT_EQ(ended, 3);
}

TEST(OnThreads, GoesOnWithoutThreadsThatDoNotStart) {
    const auto here = std::this_thread::get_id();
    const NoThreads none;
    EXPECT_THROW(std::jthread([] {}), std::system_error);
    std::vector<int> done(100);
    at_once(done.size(), {.threads = 4}, [&](std::size_t k) {
        EXPECT_EQ(std::this_thread::get_id(), here);
        ++done[k];
    });
    EXPECT_EQ(done, std::vector<int>(100, 1));
}

}  // namespace
}  // namespace gapwright
