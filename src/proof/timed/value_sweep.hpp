// What a resistor's value does to the promises in time: the trade-off that people look for.
#pragma once

#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "population/engine.hpp"
#include "proof/prove.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// One promise against the value.
struct SweptPromise {
    std::string state;
    std::string quantity;  // "voltage data reaches 3.5 V"
    Dimension dimension = Dimension::time;
    double bound = 0;
    Sense sense = Sense::at_most;
    std::vector<double> nominal = {};  // by value; sizes of what has either sign
    std::vector<double> worst = {};    // of the specimens looked at
};

struct ValueSweep {
    std::string part;
    double own = 0;                      // Ω, the link's own value
    std::vector<double> ohms;            // rising, twenty a decade; the own value in the middle
    std::vector<SweptPromise> promises;  // those in time, but the highest rate
    // Around the own value: where every promise, those at rest too, holds in its worst specimen;
    // absent where the own value does not.
    std::optional<double> kept_from;
    std::optional<double> kept_to;
};

// From a tenth to ten times the own value. The worst of each value is that of the nominal specimen
// and of those that a quick search finds worst with a third of the own value, with it, and with
// three times it: with others, others may be worse. Errors: the part is no resistor of the link; no
// promise is about time.
std::expected<ValueSweep, ProofFailure> value_sweep(const Link& link, const LinkCircuit& circuit,
                                                    const std::string& part,
                                                    const EngineOptions& engine);

}  // namespace gapwright
