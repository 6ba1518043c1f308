// The links that the search from outside looks at.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "link/link_circuit.hpp"

namespace gapwright::reference {

struct Subject {
    std::string name;
    Link link;
    LinkCircuit circuit;
};

// The link files of a folder, in the order of their names. Throws where one is no valid link.
std::vector<Subject> subjects_in(const std::filesystem::path& folder);

// A made-up link (made_networks.hpp) with spreads as wide as benches see them, from 0 to 50 °C,
// with promises that hold anyway about current and power of every part but its gaps.
Subject generated(std::uint64_t seed);

}  // namespace gapwright::reference
