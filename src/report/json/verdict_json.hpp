// A proof as one JSON document, in the shape of docs/files.md. SI units, temperatures in °C.
#pragma once

#include <string>

#include "source/diagnostics.hpp"

namespace gapwright {

struct Link;
struct Proof;

// Numbers round-trip; a figure that does not exist (a share without samples) is null.
std::string verdict_json(const Link& link, const Proof& proof);

// Errors in the same manner: {"errors": [{"file", "line", "column", "cause", "message",
// "remedy"}]}.
std::string problems_json(const Problems& problems);

// Why there is no proof: {"failure": "…"}.
std::string failure_json(const std::string& message);

}  // namespace gapwright
