// Where to measure on a solved link: a voltage between two nodes, a part's current or power.
#pragma once

#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"

namespace gapwright {

// One element's share in a part's current: sign +1 or −1, or 0 for none.
struct CurrentTerm {
    ElementIndex element;
    double main = 0;  // weight of the element's main current
    double base = 0;  // weight of its base current

    bool operator==(const CurrentTerm&) const = default;
};

// What is measured: Σ of terms. A power is the sum of voltage × current over its ports.
struct Port {
    Node plus = Node::side_return;
    Node minus = Node::side_return;
    std::vector<CurrentTerm> current;  // into `plus`

    bool operator==(const Port&) const = default;
};

// A quantity of one side, in V, A or W.
struct Probe {
    enum class Kind : unsigned char { voltage, current, power };
    Kind kind = Kind::voltage;
    Side side = Side::input;
    std::vector<Port> ports;  // voltage: its nodes; current: its terms; power: all of them

    bool operator==(const Probe&) const = default;
};

// A quantity of one state.
struct Measure {
    StateIndex state;
    Probe probe;

    bool operator==(const Measure&) const = default;
};

double measure(const Probe& probe, const StatePoint& point);

}  // namespace gapwright
