// A board with its supplies on or off and an instrument about to be held to it, as a network.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "reference/second_bench/board.hpp"
#include "reference/second_bench/network.hpp"

namespace gapwright::reference {

struct Wiring {
    const State* state = nullptr;            // powered, in that state of the link; none: unpowered
    std::optional<std::size_t> opened = {};  // a part of the board whose first lead is opened
    double burden = 1e-3;                    // Ω, put there
    std::optional<std::size_t> lifted = {};  // a part whose first lead is out of the board
    std::optional<std::size_t> off = {};     // a part that is not on the board
    bool all_input = false;                  // all nodes of that side are clipped together
    bool all_output = false;
    std::array<double, 2> drive{1, 1};  // by side: what logic outputs give, times their high
};

struct Wired {
    Network network;
    std::optional<std::size_t> ammeter;      // the path through the opened lead
    std::optional<std::size_t> lifted_lead;  // the node of the lifted lead
    // By part of the board: the path of its main current; none where nothing of it conducts.
    std::vector<std::optional<std::size_t>> path_of;
};

// Joints that are open sometimes are open or not as they are now: `joint` is taken.
Wired wired(const Board& board, const Wiring& wiring);

}  // namespace gapwright::reference
