// Independent work, several at once.
#pragma once

#include <atomic>
#include <thread>
#include <vector>

#include "population/engine.hpp"

namespace gapwright {

// Calls work(0) … work(count − 1), each once, from as many threads as the options allow.
template <class Work>
void at_once(std::size_t count, const EngineOptions& options, const Work& work) {
    std::atomic<std::size_t> next = 0;
    const auto take = [&] {
        for (std::size_t k = next++; k < count; k = next++) work(k);
    };
    std::vector<std::jthread> threads;
    for (unsigned k = 1; k < worker_count(options) && k < count; ++k) threads.emplace_back(take);
    take();
}

}  // namespace gapwright
