// The search for a board's layout: simulated annealing, from several starts. Internal to the layer.
//
// Kirkpatrick, Gelatt, Vecchi: Optimization by Simulated Annealing, Science 220 (1983): a change
// that costs more is taken with probability exp(-more/T), while T falls.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <vector>

#include "board/layout.hpp"
#include "board/wiring.hpp"

namespace gapwright::layout {

struct SearchOptions {
    int starts = 24;      // fewer where there is much to place
    bool insists = true;  // goes on, longer, not only while there are faults but also crossings
    std::uint64_t seed = 1;
    std::function<bool()> stop = {};  // asked between starts
};

struct SideLayout {
    std::vector<Item> items = {};
    std::vector<Spot> spots = {};
    std::vector<LocalWire> wires = {};
    Cost cost = {};
};

struct Layout {
    std::array<SideLayout, 2> sides;  // by Side
    bool stopped = false;

    double total() const { return sides[0].cost.total() + sides[1].cost.total(); }
    bool has_faults() const { return sides[0].cost.faults + sides[1].cost.faults > 0; }
    bool crosses() const { return sides[0].cost.insulated + sides[1].cost.insulated > 0; }
};

// The best layout found on grounds of that size; it may have faults where they are too small.
// Same inputs, same layout.
Layout search_layout(const Wiring& wiring, const std::array<Ground, 2>& grounds,
                     const SearchOptions& options);

}  // namespace gapwright::layout
