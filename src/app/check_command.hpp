// `gapwright check LINK`: operating points, promises, ratings, proof.
#pragma once

#include <stop_token>
#include "app/exit_status.hpp"
#include "app/prove_file.hpp"

namespace gapwright {

ExitStatus run_check(const ProveOptions& options, const std::stop_token& stop);

}  // namespace gapwright
