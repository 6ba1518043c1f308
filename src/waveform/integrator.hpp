// SUNDIALS IDA behind three calls. Internal to the layer; the only place that knows the library.
#pragma once

#include <cstddef>
#include <memory>

#include "waveform/equations.hpp"

namespace gapwright::waveforms {

class Integrator {
  public:
    // Refers to the equations.
    Integrator(Equations& equations, double tolerance);
    ~Integrator();
    Integrator(const Integrator&) = delete;
    Integrator& operator=(const Integrator&) = delete;

    // From a consistent point on, as if nothing had been before.
    bool begin(double time, const VectorXd& y, const VectorXd& slope);
    // One step, not past `stop`.
    enum class Outcome : unsigned char { step, stop, failed };
    Outcome step(double stop);

    double time() const;
    std::size_t evaluations() const;  // of the equations, so far
    const VectorXd& y() const;
    // The unknown with the largest error of the last step that was tried.
    Index worst() const;
    // y at an earlier time within the last step.
    VectorXd within(double time) const;
    struct Sundials;  // what the library works on; known to the source file alone

  private:
    std::unique_ptr<Sundials> sundials_;
};

}  // namespace gapwright::waveforms
