// A side's elements with one specimen's figures at one temperature and light: what Newton's method
// works on. Internal to the layer.
#pragma once

#include <span>
#include <variant>
#include <vector>

#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"

namespace gapwright::prepared {

struct Source {
    Node from, to;
    double voltage;     // V
    double resistance;  // Ω
};
struct Diode {
    Node from, to;
    JunctionAt<double> law;
};
struct Breakdown {
    Node from, to;
    BreakdownAt<double> law;
};
struct Bipolar {
    Node collector, emitter, base;
    double polarity;  // +1 npn, −1 pnp
    TransistorAt<double> law;
    double photocurrent;  // A, from collector to base
};
struct FieldEffect {
    Node drain, source, gate;
    double polarity;  // +1 n-channel, −1 p-channel
    MosfetAt<double> law;
};
struct Leak {
    Node from, to;
    double current;  // A
};

using Element = std::variant<Source, Diode, Breakdown, Bipolar, FieldEffect, Leak>;

// One prepared element for each element of the network, in the same order.
std::vector<Element> prepare(const Network& network, std::span<const double> values,
                             const Conditions& conditions, const GapLight& light);

}  // namespace gapwright::prepared
