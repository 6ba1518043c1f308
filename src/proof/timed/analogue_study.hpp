// The nominal specimen of a link as the way of an analogue signal.
#pragma once

#include <expected>
#include <optional>
#include <stop_token>

#include "proof/prove.hpp"
#include "time/analogue.hpp"

namespace gapwright {

// Requires that the link states [analogue]. `temperature` in K, in place of the middle of the
// link's range.
std::expected<AnalogueAnswer, ProofFailure> analogue_study(const Link& link,
                                                           const LinkCircuit& circuit,
                                                           std::optional<double> temperature = {},
                                                           const std::stop_token& stop = {});

}  // namespace gapwright
