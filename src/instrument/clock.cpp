#include "instrument/clock.hpp"

#include <algorithm>
#include <chrono>
#include <stop_token>
#include <thread>

namespace gapwright {

double SteadyClock::now() const {
    using Seconds = std::chrono::duration<double>;
    return Seconds(std::chrono::steady_clock::now().time_since_epoch()).count();
}

void SteadyClock::wait(double seconds, const std::stop_token& stop) {
    constexpr double slice = 0.02;
    const double end = now() + seconds;
    for (double left = seconds; left > 0 && !stop.stop_requested(); left = end - now()) {
        std::this_thread::sleep_for(std::chrono::duration<double>(std::min(left, slice)));
    }
}

}  // namespace gapwright
