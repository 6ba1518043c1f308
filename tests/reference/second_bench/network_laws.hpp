// One path of a network, linearised: what flows at each of its ends and how that moves with each
// node's voltage.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <initializer_list>
#include <vector>

#include "reference/second_bench/network.hpp"

namespace gapwright::reference {

// A few things in a row, without a heap: networks are solved a million times.
template <class Item, std::size_t most>
struct Few {
    std::array<Item, most> items{};
    std::size_t count = 0;

    Few() = default;
    Few(std::initializer_list<Item> list) : count(list.size()) {
        std::copy(list.begin(), list.end(), items.begin());
    }
    void push_back(const Item& item) { items.at(count++) = item; }
    auto begin() { return items.begin(); }
    auto end() { return items.begin() + static_cast<std::ptrdiff_t>(count); }
    auto begin() const { return items.begin(); }
    auto end() const { return items.begin() + static_cast<std::ptrdiff_t>(count); }
    const Item& front() const { return items[0]; }
};

// Current into the path at one node.
struct EndCurrent {
    struct Slope {
        std::size_t node = 0;
        double siemens = 0;
    };
    std::size_t node = 0;
    double amperes = 0;
    Few<Slope, 4> slopes = {};
};
using EndCurrents = Few<EndCurrent, 3>;

// What a path's control voltages were when it was last looked at: two at most.
using Held = std::array<double, 2>;

// The control voltages of a path at these node voltages, moved no further from `held` than its law
// can be trusted to be straight.
Held next_held(const Network& network, std::size_t path, const std::vector<double>& volts,
               const Held& held, double share);

// The path's currents, as straight lines through its law at `held` (by path), told at `volts`.
// `share` scales every source, from 0 to 1.
EndCurrents straightened(const Network& network, std::size_t path, const std::vector<double>& volts,
                         const std::vector<Held>& held, double share);

// A junction's current and its slope.
struct CurrentSlope {
    double amperes = 0;
    double siemens = 0;
};
CurrentSlope junction_current(const JunctionPath& path, double volts);

}  // namespace gapwright::reference
