// One specimen of a part, drawn from its card's spread, as it would answer on a bench: solved with
// the same circuits that links are proven with.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "link/link_circuit.hpp"
#include "measuring/swept_part.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

// What is fed, of a demo.
struct DemoFeed {
    double voltage = 0;  // V, of the second supply; 0 while its output is off
    double series = 0;   // Ω between it and the fed part, at least 0
};

struct DemoAnswer {
    double voltage = 0;   // V across the driven part, positive in the direction of its current
    double received = 0;  // A through the fed part
};

class DemoPart {
  public:
    // The specimen of that seed: the same seed is the same part, whatever is swept of it. Errors:
    // those of build_circuit.
    static Expected<DemoPart> of(const SweptPart& swept, std::uint64_t seed);

    // With that current through the driven part, A, at 25 °C and in the dark. None where the
    // circuit finds no operating point.
    std::optional<DemoAnswer> at(double current, const DemoFeed& feed) const;

  private:
    DemoPart() = default;

    std::optional<DemoAnswer> solved(std::vector<double> values) const;

    LinkCircuit circuit_;
    std::vector<double> values_;  // the specimen's, by slot
    Probe drive_probe_;           // the driven part's voltage
    bool through_base_ = false;   // a transistor, whose base is driven from its collector's supply
    bool backwards_ = false;      // in breakdown
    Probe received_probe_;
    Slot drive_{};  // volts that drive the current; of a transistor the base's resistor
    Slot feed_{};
    Slot series_{};
};

}  // namespace gapwright
