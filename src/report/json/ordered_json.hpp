// JSON whose keys stay in the order in which they were put: what every document and reply is made
// of.
#pragma once

#include <nlohmann/json.hpp>

namespace gapwright {

using Json = nlohmann::ordered_json;

}  // namespace gapwright

// Instantiated once, in ordered_json.cpp: it is half of the time that a file with JSON takes to
// compile.
extern template class nlohmann::basic_json<nlohmann::ordered_map>;
