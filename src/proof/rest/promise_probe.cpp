#include "proof/rest/promise_probe.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "units/dimension.hpp"

namespace gapwright {

Dimension promise_dimension(const Promise& promise) {
    switch (promise.quantity) {
        case Promise::Quantity::current:
            return Dimension::current;
        case Promise::Quantity::voltage:
            return Dimension::voltage;
        case Promise::Quantity::power:
            break;
    }
    return Dimension::power;
}

Probe promise_probe(const Promise& promise, const LinkCircuit& circuit) {
    if (promise.quantity == Promise::Quantity::voltage) {
        return {.kind = Probe::Kind::voltage,
                .side = promise.side,
                .ports = {{.plus = promise.plus, .minus = promise.minus, .current = {}}}};
    }
    const auto& probes = *circuit.of(promise.part, promise.side);
    if (promise.control) return *probes.base_current();
    return promise.quantity == Promise::Quantity::power ? probes.power() : probes.current();
}

}  // namespace gapwright
