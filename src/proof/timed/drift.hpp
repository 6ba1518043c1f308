// What a link does while its emitters warm up after a change of state.
//
// An emitter's temperature rises by its power times its thermal resistance, which derating states:
// (zero_rating_at − full_rating_to) / power (common practice). Its light then follows its
// temperature coefficient. Seconds to minutes; how long, no card says.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"

namespace gapwright {

struct WarmEmitter {
    std::string part;
    double power = 0;  // W
    double rise = 0;   // K, above what surrounds it
    double light = 1;  // share of its light that is left
};

struct Drift {
    std::vector<WarmEmitter> emitters;  // those that warm by a tenth of a kelvin or more
    // Named nodes of the output side that move by a millivolt or more: V, cold and warm.
    struct Moved {
        std::string node;
        double cold = 0;
        double warm = 0;
    };
    std::vector<Moved> nodes;
};

// In one state of a specimen at rest. Emitters that state no power or no derating stay cold; other
// parts keep the temperature of what surrounds them.
Drift drift_of(const Link& link, const LinkCircuit& circuit, const Specimen& specimen,
               std::size_t state);

}  // namespace gapwright
