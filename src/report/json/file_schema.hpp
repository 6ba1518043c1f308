// What a link file may hold, for editors: a JSON Schema (draft 2020-12), from the tables of keys.
#pragma once

#include <string>

namespace gapwright {

// The schema as text, without a line end at its end. It knows keys, words and forms of values, not
// whether names lead anywhere, figures lie in range or keys contradict one another: reading a file
// does.
std::string file_schema();

}  // namespace gapwright
