#include "service/worker_pool.hpp"

#include <algorithm>
#include <cstddef>
#include <exception>
#include <mutex>
#include <stop_token>
#include <utility>

namespace gapwright {

WorkerPool::WorkerPool(unsigned threads, std::size_t most_waiting) : most_waiting_(most_waiting) {
    try {
        for (unsigned i = 0; i < std::max(threads, 1U); ++i) {
            threads_.emplace_back([this](const std::stop_token& stop) { work(stop); });
        }
    } catch (const std::exception&) {
        if (threads_.empty()) throw;  // else those that the system gave do the work
    }
    free_ = threads_.size();
}

bool WorkerPool::add(Job job) {
    {
        const std::lock_guard lock(mutex_);
        if (waiting_.size() >= most_waiting_ + free_) return false;
        waiting_.push_back(std::move(job));
    }
    arrived_.notify_one();
    return true;
}

void WorkerPool::stop() {
    for (auto& thread : threads_) thread.request_stop();
    threads_.clear();
    const std::lock_guard lock(mutex_);
    waiting_.clear();
}

void WorkerPool::work(const std::stop_token& stop) {
    for (;;) {
        Job job;
        {
            std::unique_lock lock(mutex_);
            if (!arrived_.wait(lock, stop, [this] { return !waiting_.empty(); })) return;
            if (stop.stop_requested()) return;
            job = std::move(waiting_.front());
            waiting_.pop_front();
            --free_;
        }
        try {
            job();
        } catch (...) {  // the next one may go better
        }
        const std::lock_guard lock(mutex_);
        ++free_;
    }
}

}  // namespace gapwright
