// `gapwright wave --analogue`: a link that carries a signal without steps.
#pragma once

#include <stop_token>
#include "app/exit_status.hpp"
#include "app/wave_command.hpp"

namespace gapwright {

// Of the options: file, temperature, json.
ExitStatus run_analogue(const WaveCommandOptions& options, const std::stop_token& stop);

}  // namespace gapwright
