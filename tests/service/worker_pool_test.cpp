// Threads of the server: what a job throws ends that job alone.
#include "service/worker_pool.hpp"

#include <gtest/gtest.h>

#include <semaphore>
#include <stdexcept>

#include "support/no_threads.hpp"

namespace gapwright {
namespace {

TEST(WorkerPool, GoesOnAfterAJobThatThrows) {
    WorkerPool pool(1, 8);
    std::binary_semaphore done(0);
    EXPECT_TRUE(pool.add([] { throw std::runtime_error("defect"); }));
    EXPECT_TRUE(pool.add([] { throw 3; }));
    EXPECT_TRUE(pool.add([&] { done.release(); }));
    done.acquire();
    pool.stop();
}

TEST(WorkerPool, CannotBeWithoutAnyThread) {
    const testing_support::NoThreads none;
    EXPECT_THROW(WorkerPool(2, 8), std::system_error);
}

}  // namespace
}  // namespace gapwright
