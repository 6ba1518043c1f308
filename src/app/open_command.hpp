// `gapwright open`: the page of a folder, for this computer only.
#pragma once

#include <cstdint>
#include <stop_token>
#include <string>

#include "app/exit_status.hpp"

namespace gapwright {

struct OpenOptions {
    std::string folder = ".";
    std::uint16_t port = 0;   // 0: the folder's own, or any that is free
    bool no_browser = false;  // only says the address
    bool json = false;        // the address as one JSON document
};

// Serves until Ctrl-C.
ExitStatus run_open(const OpenOptions& options, const std::stop_token& stop);

}  // namespace gapwright
