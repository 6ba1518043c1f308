// Time as a sweep knows it, so that tests need not wait.
#pragma once

#include <stop_token>

namespace gapwright {

class Clock {
  public:
    virtual ~Clock() = default;

    // Seconds since some moment; never runs backwards.
    virtual double now() const = 0;

    // Waits that many seconds, or until a stop is asked for.
    virtual void wait(double seconds, const std::stop_token& stop) = 0;
};

// The computer's own steady clock.
class SteadyClock : public Clock {
  public:
    double now() const override;
    void wait(double seconds, const std::stop_token& stop) override;
};

}  // namespace gapwright
