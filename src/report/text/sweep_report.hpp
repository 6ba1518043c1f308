// The trade-off of a value as text, as JSON and as pictures.
#pragma once

#include <string>
#include <vector>

#include "proof/timed/value_sweep.hpp"
#include "report/html/html_report.hpp"
#include "report/text/verdict_text.hpp"

namespace gapwright {

std::string sweep_text(const Link& link, const ValueSweep& sweep, const TextStyle& style);

// {"part", "own", "values", "promises": [{"state", "quantity", "bound", "nominal", "worst"}],
// "kept_from", "kept_to"}; SI, delays that never end are null.
std::string sweep_json(const Link& link, const ValueSweep& sweep);

// "trade-off-R4-1" …, one a promise.
std::vector<NamedPicture> sweep_pictures(const Link& link, const ValueSweep& sweep);

}  // namespace gapwright
