// How long a change takes in many specimens.
#pragma once

#include <cstddef>
#include <cstdint>
#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/cases/case.hpp"
#include "proof/prove.hpp"
#include "proof/timed/wave_answer.hpp"

namespace gapwright {

struct DelaySpread {
    std::string name;
    std::optional<double> nominal;  // s; as NamedDelay has it
    double fastest = 0;             // s; `never` or more where the level is not reached
    double middle = 0;              // the median
    double slowest = 0;
    std::size_t never_reached = 0;  // specimens
    Case slowest_specimen;          // its figures, the one furthest from its nominal first
};

struct DelayStudy {
    std::vector<DelaySpread> spreads;
    std::size_t specimens = 0;  // fewer than asked where the user stopped it
};

// `samples` specimens of the population with that seed, temperature, light and age drawn as well.
// Stops early where the engine's token asks for it, with what there is.
std::expected<DelayStudy, ProofFailure> delay_study(const LinkCircuit& circuit,
                                                    const ConditionRanges& ranges,
                                                    const std::vector<NamedDelay>& delays,
                                                    std::size_t samples, std::uint64_t seed,
                                                    const EngineOptions& engine);

}  // namespace gapwright
