// Small sinusoids about a link at rest: what comes of a source's at a voltage elsewhere.
//
// The equations of the link in time, F(t, y, y′) = 0, are linearised at the point: with
// G = ∂F/∂y, C = ∂F/∂y′ and b = ∂F/∂(the source's voltage),
//   (G + jω·C)·Y = −b,
// Y the unknowns per volt of the source. A light-dependent resistor that takes time has two slopes
// at rest, one to either side: the slower counts.
#pragma once

#include <complex>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"

namespace gapwright {

class SmallSignal {
  public:
    // `rest`: every state at rest with these figures (solve_link). `drive`: a branch of the input
    // side, whose voltage is varied.
    SmallSignal(const Circuit& circuit, std::span<const double> values,
                const Conditions& conditions, StateIndex state, const std::vector<StatePoint>& rest,
                ElementIndex drive);
    ~SmallSignal();
    SmallSignal(SmallSignal&&) noexcept;
    SmallSignal& operator=(SmallSignal&&) noexcept;

    // V per volt of the drive, of a probe that is a voltage; `frequency` in Hz, from zero. Not a
    // number where the point has no slopes (a light-dependent resistor in the dark).
    std::complex<double> transfer(const Probe& probe, double frequency) const;

    // The lowest frequency, Hz, at which the size of the transfer has fallen to 1/√2 of that at
    // rest, to 1e-9; looked for from lowest_bandwidth to highest_bandwidth in quarters of a
    // decade. None where it does not fall so far, or is nothing at rest.
    std::optional<double> bandwidth(const Probe& probe) const;

  private:
    struct Linear;
    std::unique_ptr<const Linear> linear_;
};

inline constexpr double lowest_bandwidth = 1e-6;  // Hz
inline constexpr double highest_bandwidth = 1e9;

}  // namespace gapwright
