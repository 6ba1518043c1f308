// A coupler or phototransistor on a measuring bench: its emitter driven by a set current (or its
// receiver lit by a set irradiance), a supply and a load at its collector. Built as a link, so that
// what is fitted is what links are proven with.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "fit/observation.hpp"
#include "link/link_circuit.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

class ReceiverBench {
  public:
    // The bench of a card, whose figures `keys` may be set. Errors: those of build_circuit.
    static Expected<ReceiverBench> of(const Description& card, const std::vector<Key>& keys);

    // A collector current, dark current, rise or fall time, with the figures set; `slopes`, unless
    // empty, takes its derivative to each (of times by differences). False where there is no
    // operating point, or the current does not follow.
    bool measure(const Observation& observation, std::span<const double> figures, double& value,
                 std::span<double> slopes) const;

    // The keys' figures as the card states them.
    std::vector<double> figures() const;

  private:
    ReceiverBench() = default;

    std::vector<double> values_for(const Observation& observation,
                                   std::span<const double> figures) const;
    bool relative_ctr(const Observation& observation, std::span<const double> figures,
                      double& value, std::span<double> slopes) const;
    bool edge_time(const Observation& observation, const std::vector<double>& values,
                   double& time) const;

    LinkCircuit circuit_;  // states: on, off
    Circuit lit_;          // only the state on
    Probe collector_;      // the receiver's current
    std::vector<double> nominal_;
    std::vector<std::optional<Slot>> slots_;  // by key; none for one that only the emitter has
    Slot drive_{};                            // volts that drive the emitter's current
    Slot supply_{};
    Slot load_{};
};

}  // namespace gapwright
