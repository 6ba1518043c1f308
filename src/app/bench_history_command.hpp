// `gapwright bench --history`: what the sessions of a link tell together.
#pragma once

#include <stop_token>

#include "app/bench_command.hpp"
#include "app/exit_status.hpp"

namespace gapwright {

// Exit status: that of `bench` where no reading was given.
ExitStatus run_bench_history(const BenchCommandOptions& options, const std::stop_token& stop);

}  // namespace gapwright
