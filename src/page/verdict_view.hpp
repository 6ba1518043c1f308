// A proof as the page shows it. Judgement of the contract.
#pragma once

#include <string>
#include <vector>

#include "link/link.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "proof/cautions/cautions.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// Requires a proof. `state` is the one in the schematic; the first where there is none of the name.
Json judgement_view(const Judged& judged, const std::string& state);

// Cautions with the names of the parts that they are about.
Json caution_list(const Link& link, const std::vector<Caution>& cautions);

// ProofView of the contract, but for its revision. Requires a proof.
Json proof_view(const Judged& judged);

// Steps of the contract: those for one part, or all where `part` is empty.
Json steps_view(const Proof& proof, const std::string& part = {});

// "✗ broken: voltage supply to coil, on" and the like, with the least reserve.
struct LeastReserve {
    double reserve = 0;
    std::string words;       // "12 %"
    std::string limited_by;  // "voltage supply to coil, on"
};
LeastReserve least_reserve(const Proof& proof);

// CaseView of the contract: the schematic with the figures of one case of a promise. Errors: no
// such promise, or no operating point there.
struct CaseRequest {
    int promise = 0;
    bool highest = false;
    std::string state;
};
Answered<Json> case_view(const Judged& judged, const CaseRequest& request);

}  // namespace gapwright
