// Threads that do what would hold up the one that reads and writes. Internal to the layer.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <functional>
#include <mutex>
#include <stop_token>
#include <thread>
#include <vector>

namespace gapwright {

class WorkerPool {
  public:
    using Job = std::function<void()>;  // an exception ends it and nothing else

    // At most `most_waiting` jobs wait for a thread. Fewer threads where the system gives no more;
    // throws where it gives none.
    WorkerPool(unsigned threads, std::size_t most_waiting);

    // False where too many wait already.
    bool add(Job job);

    // Forgets the jobs that wait, and returns once those that run have ended.
    void stop();

  private:
    void work(const std::stop_token& stop);

    const std::size_t most_waiting_;
    std::mutex mutex_;
    std::condition_variable_any arrived_;
    std::deque<Job> waiting_;
    std::size_t free_ = 0;
    std::vector<std::jthread> threads_;
};

}  // namespace gapwright
