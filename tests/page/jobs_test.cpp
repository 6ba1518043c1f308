// Work that fails in ways that nobody foresaw is failed work, and nothing else ends.
#include "page/jobs.hpp"

#include <gtest/gtest.h>

#include <chrono>

#include "support/no_threads.hpp"

namespace gapwright {
namespace {

Json ended(JobTable& jobs, const std::string& id) {
    for (;;) {
        const auto view = jobs.view(id);
        if (!view) {
            ADD_FAILURE() << view.error().error;
            return {};
        }
        if ((*view)["state"] != "running") return *view;
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
}

void expect_a_job_is_done(JobTable& jobs) {
    const auto id = jobs.start("", [](JobProgress&) { return Json(3); });
    ASSERT_TRUE(id);
    const Json view = ended(jobs, *id);
    EXPECT_EQ(view["state"], "done");
    EXPECT_EQ(view["result"], 3);
}

TEST(Jobs, WhateverWorkThrowsIsAFailureOfThatWork) {
    JobTable jobs;
    const std::vector<JobTable::Work> works = {
        [](JobProgress&) -> Answered<Json> { throw std::bad_alloc(); },
        [](JobProgress&) -> Answered<Json> { throw std::runtime_error("defect"); },
        [](JobProgress&) -> Answered<Json> { throw 3; },
    };
    for (const auto& work : works) {
        const auto id = jobs.start("", work);
        ASSERT_TRUE(id);
        const Json view = ended(jobs, *id);
        EXPECT_EQ(view["state"], "failed");
        EXPECT_EQ(view["refusal"]["error"], "The work ended with a defect of ours");
        EXPECT_EQ(jobs.result(*id).error().status, 500);
    }
    expect_a_job_is_done(jobs);
}

TEST(Jobs, WorkWithoutAThreadIsRefused) {
    JobTable jobs;
    {
        const testing_support::NoThreads none;
        const auto id = jobs.start("", [](JobProgress&) { return Json(3); });
        ASSERT_FALSE(id);
        EXPECT_EQ(id.error().status, 503);
    }
    expect_a_job_is_done(jobs);
}

}  // namespace
}  // namespace gapwright
