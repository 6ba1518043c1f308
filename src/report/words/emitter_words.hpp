// An emitter's hours as people read them.
#pragma once

#include <string>
#include <vector>

#include "link/link.hpp"
#include "proof/limits/emitter_hours.hpp"

namespace gapwright {

// "Emitters over 10 years".
std::string emitters_heading(const Link& link);

// What is told of one, a phrase each: "5 % of it, 4383 h, at 8.5 mA (on)", "95 %, 83 277 h, dark
// (off)", "never (leaking)", "light left 78 % at 30 °C, 71 % at 60 °C, nominal".
std::vector<std::string> emitter_words(const Link& link, const EmitterHours& emitter);

}  // namespace gapwright
