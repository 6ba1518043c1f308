// `gapwright check LINK`: operating points, promises, ratings, proof.
#pragma once

#include "app/prove_file.hpp"

namespace gapwright {

ExitStatus run_check(const ProveOptions& options, const std::stop_token& stop);

}  // namespace gapwright
