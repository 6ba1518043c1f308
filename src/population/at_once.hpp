// Independent work, several at once.
#pragma once

#include <cstddef>
#include <functional>

#include "population/engine.hpp"

namespace gapwright {

// Calls work(0) on this thread and work(1) … work(most − 1) each on one of its own, and returns
// when all have ended. It goes on without threads that the system does not give, so that `work`
// takes its tasks from what all share. An exception comes out of here once all have ended; of
// several the first.
void on_threads(std::size_t most, const std::function<void(std::size_t worker)>& work);

// Calls work(0) … work(count − 1), each once, from as many threads as the options allow. After an
// exception, which comes out of here, no further ones are begun.
void at_once(std::size_t count, const EngineOptions& options,
             const std::function<void(std::size_t)>& work);

}  // namespace gapwright
