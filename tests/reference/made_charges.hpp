// Gives the parts of a random link charges and inductances, and its coils what takes their current
// when they are let go.
#pragma once

#include "reference/made_parts.hpp"

namespace gapwright::reference {

void add_charges(MadeLink& link, Dice& dice);

}  // namespace gapwright::reference
