// A reading that alone contradicts all others: misread, mistyped, or taken on something else. It is
// asked for again before it decides.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/suspicion.hpp"

namespace gapwright {

struct Outlier {
    std::size_t reading = 0;     // index in the readings
    std::optional<double> slip;  // V, A or Ω: with its decimal sign or prefix moved it would fit
};

// None where all readings are explained, where more than one would have to be left out, or where
// the one was taken twice. Looks at readings from the third on: two may both be wrong.
std::optional<Outlier> find_outlier(const FaultDictionary& dictionary, double no_fault,
                                    const std::vector<TakenReading>& readings);

// Whether some of a fault's specimens read so: within all of them, to the meter's limits.
bool explains(const FaultDictionary& dictionary, std::size_t fault, const TakenReading& reading);

}  // namespace gapwright
