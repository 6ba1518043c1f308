// A link in time as one system of differential-algebraic equations F(t, y, y′) = 0. Internal to the
// layer.
//
// Unknowns y, in this order: the unknowns at rest of the input side (node voltages, then currents
// of branches), those of the output side, what the input side stores, what the output side stores
// (C, or Wb of an inductance), the lit conductance of each light-dependent resistor that takes time
// (S). Equations: Kirchhoff's laws of both sides with what flows into the stores; of each store,
// its charge less what its law says; of each slow light-dependent resistor, its rate.
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "device/figures.hpp"
#include "waveform/schedule.hpp"
#include "waveform/stored.hpp"
#include "waveform/waveform.hpp"

namespace gapwright::waveforms {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

// A light-dependent resistor that follows its light slowly.
struct SlowCell {
    std::size_t element = 0;  // of the output side
    std::size_t gap = 0;
    LightResistor<double> card;
    LightResponse<double> response;
    double largest = 0;  // its lit conductance, of all states at rest, S
};

class Equations {
  public:
    // `rest`: every state at rest, for the emitters' ageing and for sizes. Windings that are
    // interrupted get their strays even where none are asked for: there is no answer without.
    Equations(const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
              const Schedule& schedule, const std::vector<StatePoint>& rest,
              Strays strays = Strays::none);

    Strays strays() const { return strays_; }  // those that it has

    Index size() const { return size_; }
    Index resting() const { return inputs_ + outputs_; }  // unknowns that rest points have
    const std::vector<double>& breaks() const { return breaks_; }

    // y of a link at rest.
    VectorXd at_rest(const StatePoint& point) const;

    // What a change of each unknown is measured against: V and A at rest, C, Wb, S.
    const VectorXd& sizes() const { return sizes_; }
    // Whether an unknown's derivative is in the equations.
    bool differential(Index k) const { return k >= inputs_ + outputs_; }
    // Whether it is a branch's current, which only follows.
    bool current(Index k) const;

    // The node whose voltage it is, if it is one.
    std::optional<std::pair<Side, Node>> node(Index k) const;

    // The equation v(from) − v(to) + voltage − resistance · current = 0 of a branch.
    Index branch_row(Side which, ElementIndex branch) const;
    // Where the light-dependent resistors that take time begin in y; each with its own rate.
    Index first_cell() const { return first_cell_; }

    // From here to the next break: pieces are taken at the middle of the stretch.
    void enter(double from, double to);

    // F, and dF/dy + cj·dF/dy′ where `jacobian` is asked for. With `limited` the laws are
    // linearised about these control voltages instead of y's own.
    struct Limited {
        prepared::ControlVoltages input;
        prepared::ControlVoltages output;
    };
    void evaluate(double time, const VectorXd& y, const VectorXd& slope, double cj,
                  VectorXd& residual, MatrixXd* jacobian, const Limited* limited = nullptr);

    Limited controls(const VectorXd& y) const;
    // As prepared::limit_controls, of both sides.
    bool limit(const VectorXd& y, Limited& last) const;

    // The charges and conductances that the node voltages of y ask for, put into y.
    void store_by_law(VectorXd& y) const;

    // y as points of both sides.
    StatePoint point(double time, const VectorXd& y);

    // Whether everything that others see is within 1e-4 of a point at rest: nodes of their side's
    // voltage, currents of windings of their largest at rest; slow light-dependent resistors within
    // 1e-3.
    bool rests(const VectorXd& y, const StatePoint& goal) const;

  private:
    struct SideEquations {
        const Network* network = nullptr;
        std::vector<prepared::Element> elements;
        std::vector<PreparedStore> stores;
        std::vector<Index> source_rows;  // by element: its branch's row, or −1
        Index first = 0;                 // of its unknowns at rest in y
        Index count = 0;
        Index first_store = 0;                                   // of its stores in y
        double voltage = 0;                                      // the largest at rest, V
        std::vector<Index> watched_nodes;                        // by unknown
        std::vector<std::pair<Index, double>> watched_currents;  // of windings; largest at rest, A
        prepared::System system;
    };

    SideEquations& side(Side which) { return which == Side::input ? input_ : output_; }
    void prepare_side(Side which, const Network& network);
    void add_strays(Side which, Strays wanted, const std::vector<StatePoint>& rest);
    void measure_sizes(const std::vector<StatePoint>& rest);
    void update_movers(double time);
    void update_light(const VectorXd& y);
    void add_side(SideEquations& side, const VectorXd& y, const VectorXd& slope, double cj,
                  VectorXd& residual, MatrixXd* jacobian, const prepared::ControlVoltages* control);
    void add_light_slopes(const VectorXd& y, MatrixXd& jacobian) const;
    void add_cells(const VectorXd& y, const VectorXd& slope, double cj, VectorXd& residual,
                   MatrixXd* jacobian);
    void add_surges(VectorXd& residual) const;

    const Circuit& circuit_;
    std::span<const double> values_;
    Conditions conditions_;
    const Schedule& schedule_;
    std::vector<Mover> movers_;
    std::vector<const Piece*> pieces_;  // by mover, of the present stretch
    std::vector<double> breaks_;
    std::vector<double> life_;  // by gap: the share of its light that is left
    SideEquations input_;
    SideEquations output_;
    Strays strays_ = Strays::none;
    std::vector<SlowCell> cells_;
    Index inputs_ = 0;
    Index outputs_ = 0;
    Index first_cell_ = 0;
    Index size_ = 0;
    VectorXd sizes_;
    double surge_ = 0;                 // V/s in the present stretch
    std::vector<double> light_;        // by gap
    std::vector<double> light_slope_;  // by gap, to the emitter's junction voltage
};

}  // namespace gapwright::waveforms
