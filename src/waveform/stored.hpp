// What a side stores, with one specimen's figures. Internal to the layer.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "device/figures.hpp"

namespace gapwright::waveforms {

// A figure that may be absent counts as zero.
double figure(std::span<const double> values, const std::optional<Slot>& slot);

// A store with its figures.
struct PreparedStore {
    Store store;
    std::size_t quantities = 1;         // charges: two of a transistor
    double capacitance = 0;             // F, or H
    double loss_time = 0;               // s, of an inductance: over the resistance beside it
    JunctionCharge<double> junction{};  // of a JunctionStore
    TransistorCharge<double> transistor{};
};
PreparedStore prepared_store(const Store& store, std::span<const double> values);

// One quantity that is stored between two nodes: its law's value and slopes to the voltages that
// control it, and the nodes of those.
struct Stored {
    Node from = Node::side_return;
    Node to = Node::side_return;
    double sign = 1;
    double charge = 0;  // C
    std::array<double, 2> slopes{};
    std::array<std::pair<Node, Node>, 2> control{};
};

// The quantities of a capacitance, junction or transistor at the node voltages `x`, their laws
// linearised about the control voltages of their elements; none of an inductance.
std::vector<Stored> stored_quantities(const PreparedStore& store,
                                      const std::vector<prepared::Element>& elements,
                                      const prepared::ControlVoltages& control,
                                      const Eigen::VectorXd& x);

}  // namespace gapwright::waveforms
