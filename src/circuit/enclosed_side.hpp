// One side in one state with some figures anywhere in their ranges: a proof that it has an
// operating point for each choice, and bounds of it. Internal to the layer.
//
// With m the solution at the middle of the ranges, C about the inverse of the Jacobian there, x a
// solution for some choice, every law f taken by its secants from its control voltages at m,
//   x − m = −C·F(m) − Σ C·(column of f)·(secant slope − slope at m)·(control − control at m) − … ,
// so that the map on the right takes a region of x into bounds that need each law's slopes over its
// own control voltages only (Krawczyk 1969, with the region bounded in control voltages as well as
// in unknowns). Where those bounds lie inside the region, a solution exists in it for every choice
// (Brouwer), and the bounds hold every solution in it. What every cause does is kept apart as long
// as it can be, see affine.hpp.
#pragma once

#include <Eigen/Dense>
#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/affine.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/prepared.hpp"
#include "circuit/probe.hpp"
#include "circuit/ranged.hpp"
#include "circuit/terminals.hpp"
#include "device/interval.hpp"

namespace gapwright {

class EnclosedSide {
  public:
    // `laws` are the network's elements with ranged figures, `light` what each gap's receiver gets
    // in terms of the ranged figures, `middle` the side solved at the middle. All must outlive
    // this.
    EnclosedSide(const Network& network, const std::vector<prepared::ElementOf<Interval>>& laws,
                 std::span<const Affine> light, const SidePoint& middle, const Ranged& ranged);

    // Whether an operating point is proven for every choice of the ranged figures. Measures may be
    // taken only then.
    bool prove();

    Interval measure(const Probe& probe) const;
    // Of an element, in terms of the ranged figures.
    Affine main_current(std::size_t element) const;

  private:
    // A source or a resistance: its row is v(from) − v(to) + voltage − resistance · current.
    struct Row {
        Node from, to;
        Eigen::Index unknown;  // its current; its equation has the same number
        Affine voltage;
        Affine resistance;
        std::optional<std::size_t> cause;  // of what its resistance does beyond first order
    };
    // A current of a device: value + Σ slope · (control − at) + cause, its light apart.
    struct Flow {
        std::pair<Node, Node> nodes;
        double value;                 // A, of the law at the middle
        Interval beyond;              // the law at the middle less `value`
        std::array<double, 2> slope;  // S, at the middle
        std::size_t cause;            // of what the law does beyond that
    };
    struct Device {
        const prepared::ElementOf<Interval>* law;
        prepared::Terminals terminals;
        std::array<Interval, 2> at;  // V, the control voltages at the middle
        std::size_t first_control;   // among control voltages of all devices
        std::size_t controls;
        std::array<Flow, 2> flows;
        std::size_t flow_count;
        const Affine* light = nullptr;  // of a photocurrent, which is its only flow
        std::size_t light_cause = 0;
    };
    using Place = std::pair<bool, std::size_t>;  // of an element: whether a row; which

    static Eigen::Index row(Node node) { return static_cast<Eigen::Index>(to_index(node)) - 1; }
    Interval voltage(Node node) const { return Interval(middle_.voltage(node)); }

    void collect(const Network& network, const std::vector<prepared::ElementOf<Interval>>& laws,
                 std::span<const Affine> light);
    void add_row(const Element& element, const prepared::SourceOf<Interval>& source,
                 std::span<const Affine> light);
    void add_device(const Element& element, const prepared::ElementOf<Interval>& law,
                    std::span<const Affine> light);
    void assemble();
    void enter(Eigen::Index row, Eigen::Index column, double value);
    void flow_into_residual(const std::pair<Node, Node>& nodes, const Interval& current);
    void respond();
    // C times what a current along `nodes` adds to the equations, for one unknown.
    Interval response(Eigen::Index unknown, const std::pair<Node, Node>& nodes) const;
    Affine difference(Node plus, Node minus) const;  // of voltages

    // What the causes beyond first order may be while control voltages and unknowns deviate so far.
    void take(const std::vector<Interval>& deviations);
    // What the defect of C may add to each deviation.
    Eigen::VectorXd defects(const std::vector<Interval>& deviations) const;
    // How far unknowns, then control voltages, deviate by the causes as they are.
    std::vector<Interval> image(const Eigen::VectorXd& left_out) const;

    void settle(std::vector<Interval> region, std::vector<Interval> next);

    Affine current(std::size_t element, double main, double base) const;
    Affine port_current(const Port& port) const;

    const SidePoint& middle_;
    const Ranged& ranged_;
    Eigen::Index unknowns_;
    std::vector<Place> places_;  // by element
    std::vector<Row> rows_;
    std::vector<Device> devices_;
    std::vector<Interval> causes_;  // ranged figures, then what goes beyond first order
    std::size_t controls_ = 0;

    Eigen::MatrixXd jacobian_;
    Eigen::MatrixXd size_;  // Σ|terms| of each of its entries
    std::vector<Interval> residual_;
    Eigen::MatrixXd inverse_;         // C: about the inverse
    Eigen::MatrixXd defect_;          // a bound of |I − C·Jacobian|
    std::vector<Affine> deviations_;  // of unknowns, then of control voltages; centres are zero
};

}  // namespace gapwright
