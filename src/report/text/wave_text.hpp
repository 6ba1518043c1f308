// A link in time as text, as JSON and as a table of numbers.
#pragma once

#include <optional>
#include <string>

#include "link/link.hpp"
#include "proof/timed/delay_study.hpp"
#include "proof/timed/wave_answer.hpp"
#include "report/text/verdict_text.hpp"

namespace gapwright {

std::string wave_text(const Link& link, const WaveAnswer& answer,
                      const std::optional<DelayStudy>& study, const TextStyle& style);

// SI units. "times" in s, and beside them "voltages", "currents", "light" by name; "transitions",
// "instants", "signal", "delays" as the text has them.
std::string wave_json(const Link& link, const WaveAnswer& answer,
                      const std::optional<DelayStudy>& study);

// RFC 4180: a column of times, then one a curve; SI units, named in the header.
std::string wave_csv(const WaveAnswer& answer);

}  // namespace gapwright
