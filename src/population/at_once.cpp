#include "population/at_once.hpp"

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>
#include "population/engine.hpp"

namespace gapwright {

void on_threads(std::size_t most, const std::function<void(std::size_t worker)>& work) {
    std::mutex mutex;
    std::exception_ptr first;
    const auto guarded = [&](std::size_t worker) {
        try {
            work(worker);
        } catch (...) {
            const std::lock_guard lock(mutex);
            if (!first) first = std::current_exception();
        }
    };
    {
        std::vector<std::jthread> threads;
        try {
            for (std::size_t k = 1; k < most; ++k) threads.emplace_back(guarded, k);
        } catch (const std::exception&) {
            // No more threads, or no room for one: those there are do all the work.
        }
        guarded(0);
    }
    if (first) std::rethrow_exception(first);
}

void at_once(std::size_t count, const EngineOptions& options,
             const std::function<void(std::size_t)>& work) {
    std::atomic<std::size_t> next = 0;
    on_threads(std::min<std::size_t>(worker_count(options), count), [&](std::size_t) {
        try {
            for (std::size_t k = next++; k < count; k = next++) work(k);
        } catch (...) {
            next = count;
            throw;
        }
    });
}

}  // namespace gapwright
