// Which reading to take next: the one that is expected to tell most of the suspects, for what it
// costs.
//
// The information a reading y is expected to give of which suspect s it is, in bits:
//   I = Σ_s p(s) ∫ p(y|s)·log2(p(y|s)/p(y)) dy
// (mutual information; Shannon 1948; as a choice of experiment: Lindley 1956).
#pragma once

#include <cstddef>
#include <span>
#include <string_view>
#include <vector>
#include "bench/reasoning/suspicion.hpp"
#include "population/engine.hpp"

namespace gapwright {

struct Proposal {
    std::size_t measurement = 0;
    double information = 0;  // bits expected
    double worth = 0;        // bits for each unit of cost
};

// Those of `candidates` (indices of measurements), the most worth first. Suspects below a
// thousandth are left out. `state` is how the link is set now: to switch it is trouble, too.
//
// Costs are in readings of a voltage against the return, some ten seconds of somebody's time: 0.4
// to set another state, 1.5 to switch the power on or off, which takes waiting and looking (own
// choice).
std::vector<Proposal> propose(const Suspicion& suspicion, std::span<const std::size_t> candidates,
                              std::string_view state, const EngineOptions& options = {});

// The most bits that any of `candidates` is expected to give between two suspects alone, taken as
// equally likely; 1 where one reading surely tells them apart.
double told_apart(const Suspicion& suspicion, std::size_t a, std::size_t b,
                  std::span<const std::size_t> candidates);

}  // namespace gapwright
