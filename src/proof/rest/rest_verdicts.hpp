// What was found of a link at rest, judged. Internal to the layer.
#pragma once

#include <vector>

#include "proof/proof.hpp"
#include "proof/proof_task.hpp"
#include "proof/rest/rest_evidence.hpp"
#include "proof/rest/rest_targets.hpp"

namespace gapwright {

// Of the promises at rest, in the link's order.
std::vector<PromiseResult> rest_promises(const ProofTask& task, const RestTargets& sought,
                                         const RestEvidence& evidence);

std::vector<RatingResult> rest_ratings(const ProofTask& task, const RestTargets& sought,
                                       const RestEvidence& evidence);

}  // namespace gapwright
