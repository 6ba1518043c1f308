// Kirchhoff's current law of one side as a system of equations, with its Jacobian. Internal to the
// layer.
//
// Unknowns: the voltages of nodes 1…, then the currents of sources. Equations: the currents leaving
// each node, in A, then each source's voltage balance, in V.
#pragma once

#include <Eigen/Dense>
#include <array>
#include <cstddef>
#include <vector>

#include "circuit/network.hpp"
#include "circuit/prepared.hpp"

namespace gapwright::prepared {

// The voltages that control each element's law (two at most), where it was last evaluated. Kept
// apart from the node voltages so that a junction's step can be limited without holding back the
// rest of the network.
using ControlVoltages = std::vector<std::array<double, 2>>;

// How a network is bent while continuation leads to its solution; {} is the network itself.
struct Continuation {
    double hold = 0;                           // S, from every node to a source of `hold_at` volts
    const Eigen::VectorXd* hold_at = nullptr;  // by unknown
    double drive = 1;                          // share of every source and photocurrent
};

struct System {
    Eigen::MatrixXd jacobian;
    Eigen::VectorXd residual;  // of the law linearised about `control`
    Eigen::VectorXd size;      // Σ|terms| of each equation: what the residual is small against
    bool limited = false;      // some control voltage differs from the nodes' voltages
};

std::size_t unknown_count(const Network& network);

// The control voltages at the node voltages `x`.
ControlVoltages controls_at(const std::vector<Element>& elements, const Eigen::VectorXd& x);

// The control voltages that the node voltages `x` call for, each step from `last` limited so that
// no exponential runs away. Returns whether any was limited.
bool limit_controls(const std::vector<Element>& elements, const Eigen::VectorXd& x,
                    ControlVoltages& last);

// The equations and their Jacobian, each law linearised at `control`.
void assemble(const std::vector<Element>& elements, std::size_t nodes, const Eigen::VectorXd& x,
              const ControlVoltages& control, const Continuation& bent, System& system);

// The currents of each element at the node voltages `x`, exact, not linearised: main and base.
struct ElementCurrents {
    std::vector<double> main;
    std::vector<double> base;
};
ElementCurrents element_currents(const std::vector<Element>& elements, std::size_t nodes,
                                 const Eigen::VectorXd& x);

// The current that each node leaves unbalanced, A, and the largest current at any node; from exact
// element currents.
struct Balance {
    Eigen::VectorXd unbalanced;  // nodes 1…
    double largest_current = 0;
};
Balance balance(const std::vector<Element>& elements, std::size_t nodes,
                const ElementCurrents& currents);

}  // namespace gapwright::prepared
