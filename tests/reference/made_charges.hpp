// Gives the parts of a random link charges and inductances, and its coils what takes their current
// when they are let go.
#pragma once

#include "reference/made_parts.hpp"

namespace gapwright::reference {

void add_charges(MadeLink& link, Dice& dice);

// The same of about half of its parts, so that some store nothing; of half of the links no coil has
// anything to take its current.
void add_some_charges(MadeLink& link, Dice& dice);

}  // namespace gapwright::reference
