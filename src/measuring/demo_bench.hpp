// A bench that is not there: two supplies and a meter, and on it one specimen of a part, so that a
// sweep can be tried without instruments. All that comes from it says that it is simulated.
#pragma once

#include <cstdint>
#include <memory>
#include <string_view>

#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/sweep_plan.hpp"
#include "measuring/demo_part.hpp"

namespace gapwright {

// Which instrument of the bench.
enum class DemoRole : std::uint8_t { supply, feed, meter };

// The bench's time passes only where somebody waits, and at no cost.
class DemoClock : public Clock {
  public:
    double now() const override { return now_; }
    void wait(double seconds, const std::stop_token& stop) override {
        if (!stop.stop_requested()) now_ += seconds;
    }

  private:
    double now_ = 0;  // s
};

// Speaks the built-in commands. Supplies hold and show currents in steps of 0.1 mA and voltages of
// 10 mV, with 0.1 Ω of leads; the meter has a noise of 0.02 % and shows steps of 0.1 mV and 0.1 µA
// (own choices, of a school's instruments).
class DemoBench {
  public:
    // `plan`: where the meter is, and across what.
    DemoBench(DemoPart part, const SweepPlan& plan, std::uint64_t seed);
    ~DemoBench();
    DemoBench(const DemoBench&) = delete;
    DemoBench& operator=(const DemoBench&) = delete;

    // What opens that instrument. The bench must outlive its channels.
    Connect connect(DemoRole role);

  private:
    class State;
    std::unique_ptr<State> state_;
};

// A seed from a specimen's name: the same name is the same part.
std::uint64_t demo_seed(std::string_view specimen);

}  // namespace gapwright
