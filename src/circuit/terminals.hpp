// Between which nodes a prepared element's control voltages and currents lie. Internal to the
// layer.
#pragma once

#include <array>
#include <utility>

#include "circuit/index.hpp"
#include "circuit/prepared.hpp"

namespace gapwright::prepared {

// Pairs of nodes: a control voltage is sign · (first − second), a current flows sign · from first
// to second; as assembly.cpp has them.
struct Terminals {
    std::array<std::pair<Node, Node>, 2> control{};
    std::pair<Node, Node> main{};
    std::pair<Node, Node> base{};
    double sign = 1;  // −1 for pnp and p-channel
};

struct TerminalsOf {
    template <class TwoTerminal>
    Terminals operator()(const TwoTerminal& e) const {
        return {.control = {std::pair(e.from, e.to)}, .main = {e.from, e.to}};
    }
    template <class Real>
    Terminals operator()(const BipolarOf<Real>& e) const {
        return {.control = {std::pair(e.base, e.emitter), std::pair(e.base, e.collector)},
                .main = {e.collector, e.emitter},
                .base = {e.base, e.emitter},
                .sign = e.polarity};
    }
    template <class Real>
    Terminals operator()(const FieldEffectOf<Real>& e) const {
        return {.control = {std::pair(e.gate, e.source), std::pair(e.drain, e.source)},
                .main = {e.drain, e.source},
                .sign = e.polarity};
    }
};

}  // namespace gapwright::prepared
