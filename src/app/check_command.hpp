// `gapwright check LINK`: operating points, promises, ratings, proof.
#pragma once

#include <cstdint>
#include <string>

#include "app/exit_status.hpp"

namespace gapwright {

struct CheckOptions {
    std::string file;
    bool nominal = false;
    bool json = false;
    std::uint64_t samples = 10000;
    std::uint64_t seed = 1;
    std::string temperature;  // as typed; empty for the link's own range
};

ExitStatus run_check(const CheckOptions& options);

}  // namespace gapwright
