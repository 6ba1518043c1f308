// `gapwright design`: finds what a file leaves open, prints the answers, writes one.
#pragma once

#include <cstddef>
#include <cstdint>
#include <stop_token>
#include <string>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"

namespace gapwright {

struct DesignCommandOptions {
    std::string file;
    std::string output;    // the link file to write; empty for none
    std::size_t take = 1;  // the number of the answer to write
    bool json = false;
    std::uint64_t samples = 100000;
    std::uint64_t seed = 1;
    PictureFolders pictures;
    bool replace = false;  // files that are there
};

ExitStatus run_design(const DesignCommandOptions& options, const std::stop_token& stop);

}  // namespace gapwright
