#include "service/worker_pool.hpp"

#include <algorithm>
#include <utility>

namespace gapwright {

WorkerPool::WorkerPool(unsigned threads, std::size_t most_waiting)
    : most_waiting_(most_waiting), free_(std::max(threads, 1U)) {
    for (std::size_t i = 0; i < free_; ++i) {
        threads_.emplace_back([this](const std::stop_token& stop) { work(stop); });
    }
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
        job();
        const std::lock_guard lock(mutex_);
        ++free_;
    }
}

}  // namespace gapwright
