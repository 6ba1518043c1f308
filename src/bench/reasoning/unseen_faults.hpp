// Which faults no readings show.
#pragma once

#include <vector>
#include "bench/reasoning/fault_dictionary.hpp"

namespace gapwright {

// By fault: whether all readings together would hardly tell it from a good link, be it a joint of
// some ohms beside a megohm. Such faults are no suspects: whatever is read, they would keep the
// share that they had before.
//
// Told by the distance of Mahalanobis between its specimens' mean and that of good ones, over all
// measurements, the meter's error in it: at a distance D the odds move by e^(D²/2) in the mean
// (linear discriminant analysis; Fisher 1936).
std::vector<bool> unseen_faults(const FaultDictionary& dictionary);

}  // namespace gapwright
