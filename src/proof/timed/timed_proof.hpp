// What takes waveforms to judge: promises about changes of state and about the signal, limits of
// parts that are passed on the way, logic inputs while the link is disturbed. Internal to the
// layer.
#pragma once

#include <cstddef>
#include <expected>
#include <vector>

#include "circuit/link_point.hpp"
#include "proof/proof.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

struct TimedProof {
    std::vector<PromiseResult> promises;  // of those not at rest, in the link's order
    std::vector<RatingResult> ratings;    // only where a limit comes nearer than in any state
    std::vector<NotJudged> not_judged;
    Strays strays = Strays::none;  // that the nominal link's waveforms assumed
    std::size_t samples = 0;       // drawn
    std::size_t worst_case_specimens = 0;
};

// `nominal`: every state of the nominal link at rest. Nothing to judge gives an empty result.
std::expected<TimedProof, ProofFailure> prove_in_time(const ProofTask& task,
                                                      const std::vector<StatePoint>& nominal);

}  // namespace gapwright
