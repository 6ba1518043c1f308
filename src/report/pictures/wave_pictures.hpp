// Pictures of a link in time: waveforms with their delays dimensioned, the eye of a signal.
#pragma once

#include <vector>

#include "link/link.hpp"
#include "proof/timed/wave_answer.hpp"
#include "report/html/html_report.hpp"

namespace gapwright {

// "waveforms-off-on", "waveforms-signal", "eye-1" …
std::vector<NamedPicture> wave_pictures(const Link& link, const WaveAnswer& answer);

}  // namespace gapwright
