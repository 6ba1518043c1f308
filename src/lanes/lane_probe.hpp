// What a probe reads of a solved side, in lanes. Included only by the kernels' files.
#pragma once

#include <cstdint>

#include "circuit/probe.hpp"
#include "lanes/plan.hpp"

namespace gapwright {

// `from`: the side's results, its unknowns and then two currents a device.
template <class L>
L probe_value(const ProbePlan& probe, const MeasurePort* ports, const CurrentShare* shares,
              const L* from) {
    L sum(0.0);
    for (std::uint32_t k = 0; k < probe.count; ++k) {
        const MeasurePort& port = ports[probe.first + k];
        const L voltage = from[port.nodes.plus] - from[port.nodes.minus];
        L current(0.0);
        for (std::uint32_t c = 0; c < port.count; ++c) {
            const CurrentShare& share = shares[port.first + c];
            current = current + from[share.source] * share.weight;
        }
        switch (probe.kind) {
            case Probe::Kind::voltage:
                sum = sum + voltage;
                break;
            case Probe::Kind::current:
                sum = sum + current;
                break;
            case Probe::Kind::power:
                sum = sum + voltage * current;
                break;
        }
    }
    return sum;
}

}  // namespace gapwright
