// The arrangements by name, list.inc is the list.
#pragma once

#include "design/arrangements/arrangement.hpp"

namespace gapwright::arrangements {

#define INPUT(name) Arrangement name();
#define OUTPUT(name) Arrangement name();
#include "design/arrangements/list.inc"
#undef INPUT
#undef OUTPUT

}  // namespace gapwright::arrangements
