// Everything that can be measured on the parts of a link.
#pragma once

#include <vector>

#include "link/link_circuit.hpp"

namespace gapwright::testing_support {

// Every part's current, then its voltage and power, in every state.
inline std::vector<Measure> all_measures(const Link& link, const LinkCircuit& circuit) {
    std::vector<Measure> measures;
    for (std::size_t s = 0; s < link.states.size(); ++s) {
        for (std::size_t p = 0; p < link.parts.size(); ++p) {
            for (const Side side : {Side::input, Side::output}) {
                const auto& placed = circuit.of(p, side);
                if (!placed) continue;
                for (const Probe& probe : {placed->current(), placed->voltage(), placed->power()}) {
                    measures.push_back({static_cast<StateIndex>(s), probe});
                }
            }
        }
    }
    return measures;
}

// A life shared unevenly between its states, a tenth of it without supply.
inline std::vector<double> uneven_shares(std::size_t states) {
    std::vector<double> shares;
    const auto count = static_cast<double>(states);
    for (std::size_t s = 0; s < states; ++s) {
        shares.push_back(0.9 * static_cast<double>(s + 1) / (0.5 * count * (count + 1)));
    }
    return shares;
}

}  // namespace gapwright::testing_support
