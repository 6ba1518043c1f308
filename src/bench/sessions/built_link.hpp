// What readings tell of one specimen: the link as it was built, and a proof of that.
#pragma once

#include <expected>
#include <optional>
#include <string>
#include <vector>
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "population/engine.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// A figure of which readings leave less than its card does.
struct LearntFigure {
    std::string name;  // "U1.photocurrent_ratio", "output.supply.voltage"
    Dimension dimension = Dimension::ratio;
    Spread stated;  // as the link file has it
    Spread learnt;  // 99 % of the specimens that would read so lie in it; the nominal is their mean
};

struct BuiltLink {
    Link link;  // as it should be, with learnt figures in place of stated ones
    std::vector<LearntFigure> learnt;  // those that readings narrowed most first
};

// Learns from readings of a link without a fault: of its figures, those that agree with them within
// the meter's error (bench/reasoning/annealed_sample.hpp). Figures are taken as independent of each
// other in what follows, which leaves more than the readings do; so does the time that emitters
// have been lit, which is left out. Nothing where the readings agree with no specimen, or the work
// was stopped.
std::optional<BuiltLink> built_link(const Link& link, const FaultDictionary& dictionary,
                                    const std::vector<TakenReading>& readings,
                                    const EngineOptions& engine);

// How long the built link keeps all of its promises and ratings.
struct BuiltProof {
    Proof proof;              // over the link's own service
    double holds_for = 0;     // s of service; 0 where a new one does not keep them all
    bool and_longer = false;  // longer than was looked at: fifty years
};
std::expected<BuiltProof, ProofFailure> prove_built(const BuiltLink& built,
                                                    const ProofOptions& options);

}  // namespace gapwright
