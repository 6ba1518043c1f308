// Two faults at once, where single ones explain readings badly. Internal to the layer.
#pragma once

#include <optional>
#include <vector>
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"

namespace gapwright {

// The dictionary with the likely single faults and all pairs of them that are about different
// parts. Likely: those that explain most of the readings, each reading by itself. None where there
// are fewer than two, or the work was stopped.
std::optional<FaultDictionary> dictionary_of_pairs(const Link& link, const Suspicion& suspicion,
                                                   const std::vector<TakenReading>& readings,
                                                   const EngineOptions& options);

}  // namespace gapwright
