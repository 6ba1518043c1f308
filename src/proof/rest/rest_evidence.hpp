// What is found of a link at rest over its whole spread: population, worst cases, and of each bound
// how far the spread may be stretched and whether a break hangs on an assumption. Internal to the
// layer.
#pragma once

#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "population/survey.hpp"
#include "proof/proof.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "proof/rest/rest_targets.hpp"
#include "proof/search/worst_case.hpp"

namespace gapwright {

// Of one target that a bound stands against.
struct BoundEvidence {
    std::string settling = {};            // where it breaks: what would settle it; mostly empty
    std::optional<Stretch> stretch = {};  // none where none was looked for
};

struct RestEvidence {
    Survey population;
    WorstCases worst;
    std::vector<BoundEvidence> bounds;  // by target
    // Specimens without an answer take no other along: they are told, and nobody knows of them
    // whether they keep what is promised.
    std::vector<NotJudged> not_judged;
};

// Every extreme where the nominal link has it, and nothing else.
RestEvidence nominal_evidence(const ProofTask& task, const RestTargets& sought);

// Fails only where it is stopped before a single specimen is solved, or in the search for the
// worst.
std::expected<RestEvidence, ProofFailure> rest_evidence(const ProofTask& task,
                                                        const RestTargets& sought);

// Why a specimen of a link ("the nominal link") has no operating point.
std::string not_settled(const Link& link, const LinkNotSettled& error, std::string_view which);

}  // namespace gapwright
