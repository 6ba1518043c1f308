// What a promise says, before anything is measured.
#pragma once

#include "link/link.hpp"
#include "proof/proof.hpp"

namespace gapwright {

// State, quantity, dimension and bounds as the link states them; no value, and a verdict that means
// nothing yet.
PromiseResult stated_promise(const Link& link, const Promise& promise);

}  // namespace gapwright
