// The simulated bench without sockets, in a time of its own that costs none.
#pragma once

#include <deque>

#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "simulated_bench.hpp"

namespace gapwright::testing_support {

class SimulatedClock : public Clock {
  public:
    double now() const override { return now_; }
    void wait(double seconds, const std::stop_token& stop) override {
        if (!stop.stop_requested()) now_ += seconds;
    }
    void advance(double seconds) { now_ += seconds; }

  private:
    double now_ = 0;
};

// Opens channels to one instrument of the bench. Requires that bench and clock outlive them.
Connect simulated_connect(SimulatedBench& bench, SimulatedClock& clock, Role role);

}  // namespace gapwright::testing_support
