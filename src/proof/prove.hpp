// From a link to the evidence on its promises.
#pragma once

#include <cstddef>
#include <cstdint>
#include <expected>
#include <optional>
#include <string>

#include "population/engine.hpp"

namespace gapwright {

struct Link;
struct LinkCircuit;
struct Proof;

struct ProofOptions {
    bool nominal_only = false;
    std::size_t samples = 100000;
    std::size_t timed_samples = 20'000;  // of what takes waveforms
    std::uint64_t seed = 1;
    std::optional<double> temperature = {};  // K, in place of the link's range
    // Limits of parts that are come near to only between two states, which takes waveforms. False
    // leaves them out, where an answer is wanted at once.
    bool limits_on_the_way = true;
    bool stretch = true;  // whether to look how far every spread may be widened
    EngineOptions engine = {};
};

// Why there is no proof.
struct ProofFailure {
    std::string message;
    bool stopped = false;  // by the user
};

std::expected<Proof, ProofFailure> prove(const Link& link, const LinkCircuit& circuit,
                                         const ProofOptions& options);

}  // namespace gapwright
