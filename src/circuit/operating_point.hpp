// The operating point of one side: every node voltage and every element's current at rest.
//
// Newton's method on Kirchhoff's current law, with each junction's step limited; where that fails,
// continuation: a shunt conductance at every node, taken away in steps, then sources raised in
// steps. No start value is needed; one that is given (a neighbouring specimen's point) saves steps.
#pragma once

#include <expected>
#include <span>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"

namespace gapwright {

// Kirchhoff's law holds to this in every answer, of this solver and of the lanes: so many amperes
// and this share of the largest current. Own choice: far below what a bench can measure.
inline constexpr double absolute_balance = 1e-12;
inline constexpr double relative_balance = 1e-9;

// The light that each gap throws on its receiver: photocurrent in A for a phototransistor,
// illuminance in lx for a light-dependent resistor. Empty on the input side.
using GapLight = std::vector<double>;

// One side, solved. `unknowns` holds the voltages of nodes 1… and then the currents of branches in
// the order of the elements; it may be passed on as a start.
struct SidePoint {
    std::vector<double> unknowns;
    std::vector<double> currents;       // A, one an element: its main current, from → to
    std::vector<double> base_currents;  // A, one an element: into the base (npn) or out of it (pnp)
    int iterations = 0;                 // Newton steps in all
    double residual = 0;                // the largest current, A, that a node leaves unbalanced

    // The voltage of a node against the side's return, V.
    double voltage(Node node) const {
        return node == Node::side_return ? 0.0 : unknowns[to_index(node) - 1];
    }
};

// No operating point was found; `node` is the one whose currents would not balance.
struct NotSettled {
    Side side = Side::input;
    Node node = Node::side_return;
    double unbalanced = 0;  // A
};

// Solves one side for one specimen. `values` are its figures by slot. In the result Kirchhoff's law
// holds at every node, those inside parts too, to 1 pA + 1e-9 of the largest current.
// Requires a network in which every node has a d.c. path to the return.
std::expected<SidePoint, NotSettled> operating_point(const Network& network, Side side,
                                                     std::span<const double> values,
                                                     const Conditions& conditions,
                                                     const GapLight& light,
                                                     const SidePoint* start = nullptr);

}  // namespace gapwright
