// `gapwright build`: a link onto a board.
#pragma once

#include <stop_token>
#include <string>
#include <vector>

#include "app/exit_status.hpp"
#include "app/prove_file.hpp"

namespace gapwright {

struct BuildCommandOptions {
    ProveOptions prove;
    std::string folder;               // -o; empty: nothing is written
    std::vector<std::string> boards;  // words of kinds; empty: all
    std::string size;                 // "30" or "12x20"; empty: as small as it comes out
    std::string drawer;               // a drawer in place of the link's own
    std::string plan;                 // a plan that was changed, read back in place of a new one
    std::string png;                  // a folder for pictures as PNG; PDF likewise
    std::string pdf;
    int starts = 24;
    bool replace = false;  // files that are there
};

ExitStatus run_build(const BuildCommandOptions& options, const std::stop_token& stop);

}  // namespace gapwright
