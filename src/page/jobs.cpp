#include "page/jobs.hpp"

#include <algorithm>
#include <cstddef>
#include <exception>
#include <iterator>
#include <memory>
#include <mutex>
#include <stop_token>
#include <string>
#include <utility>

#include "page/json.hpp"
#include "page/refusal.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {
namespace {

// Own choices: more than a person starts, and as far back as one looks.
constexpr std::size_t most_under_way = 8;
constexpr std::size_t most_kept = 40;

}  // namespace

void JobProgress::say(std::string words, double share) {
    const std::lock_guard lock(mutex_);
    words_ = std::move(words);
    share_ = share;
}

JobTable::~JobTable() {
    for (const auto& job : jobs_) job->thread.request_stop();
    for (const auto& job : jobs_) {
        if (job->thread.joinable()) job->thread.join();
    }
}

void JobTable::forget_old() {
    for (auto job = jobs_.begin(); job != jobs_.end() && jobs_.size() > most_kept;) {
        const bool ended = [&] {
            const std::lock_guard lock((*job)->mutex);
            return (*job)->ended;
        }();
        job = ended ? jobs_.erase(job) : std::next(job);
    }
}

Answered<std::string> JobTable::start(const std::string& key, Work work) {
    const std::lock_guard lock(mutex_);
    forget_old();
    std::size_t under_way = 0;
    for (const auto& job : jobs_) {
        const std::lock_guard job_lock(job->mutex);
        if (job->ended) continue;
        if (!key.empty() && job->key == key) {
            job->thread.request_stop();
        } else {
            ++under_way;
        }
    }
    if (under_way >= most_under_way) {
        return refused(503, "too much work is under way", "stop some of it, or wait");
    }
    auto job = std::make_shared<Job>();
    job->id = std::to_string(next_++);
    job->key = key;
    // Made beforehand: where memory has run out there is no room to make it.
    job->result = refused(500, "the work ended with a defect of ours");
    jobs_.push_back(job);
    // The thread belongs to the job, which waits for it: it may refer to it.
    try {
        job->thread = std::jthread([job = job.get(), work = std::move(work)](std::stop_token stop) {
            job->progress.stop_ = std::move(stop);
            try {
                auto result = work(job->progress);
                const std::lock_guard job_lock(job->mutex);
                job->result = std::move(result);
            } catch (...) {  // the result says so already
            }
            const std::lock_guard job_lock(job->mutex);
            job->ended = true;
        });
    } catch (const std::exception&) {
        jobs_.pop_back();
        return refused(503, "no more work can be begun at present", "stop some of it, or wait");
    }
    return job->id;
}

std::shared_ptr<JobTable::Job> JobTable::find(const std::string& id) {
    const std::lock_guard lock(mutex_);
    const auto found = std::ranges::find(jobs_, id, [](const auto& job) { return job->id; });
    return found == jobs_.end() ? nullptr : *found;
}

Answered<Json> JobTable::view(const std::string& id) {
    const auto job = find(id);
    if (!job) return refused(404, "this work is not known any more", "begin it again");
    Json view = {{"id", id}};
    {
        const std::lock_guard lock(job->progress.mutex_);
        view["progress"] = job->progress.words_;
        view["share"] = job->progress.share_;
    }
    const std::lock_guard lock(job->mutex);
    const bool stopped = job->thread.get_stop_token().stop_requested();
    const bool failed = job->ended && !job->result;
    view["state"] = !job->ended ? "running" : failed ? (stopped ? "stopped" : "failed") : "done";
    view["refusal"] = failed ? refusal_view(job->result.error()) : Json(nullptr);
    view["result"] = job->ended && job->result ? *job->result : Json(nullptr);
    return view;
}

Answered<Json> JobTable::stop(const std::string& id) {
    const auto job = find(id);
    if (job) job->thread.request_stop();
    return view(id);
}

Answered<Json> JobTable::result(const std::string& id) {
    const auto job = find(id);
    if (!job) return refused(404, "this work is not known any more", "begin it again");
    const std::lock_guard lock(job->mutex);
    if (!job->ended) return refused(409, "this work has not ended yet");
    return job->result;
}

}  // namespace gapwright
