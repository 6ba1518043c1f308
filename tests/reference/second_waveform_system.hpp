// A made-up link in time, as f(x) + dq(x)/dt = 0, for one setting of its contacts and outputs.
//
// Unknowns x: those of both sides at rest (second_side.hpp), then the currents of windings, the
// voltages across the breakdowns of zener diodes, and the lit conductances of light-dependent
// resistors. Charges and fluxes q are functions of x and no unknowns, so that loops of capacitances
// need no care.
#pragma once

#include <functional>
#include <span>

#include "reference/second_charges.hpp"
#include "reference/second_side.hpp"
#include "reference/second_slope.hpp"

namespace gapwright::reference {

// What a gap throws on its receiver at an emitter current, as second_light.
using GapLight = std::function<double(const MadePart& gap, double emitter_current)>;
using Settings = std::map<std::string, std::string>;

class WaveformSystem {
  public:
    WaveformSystem(const MadeLink& link, const Settings& settings, const GapLight& light);

    std::size_t size() const { return size_; }
    const SecondSide& side(bool input) const { return input ? input_ : output_; }
    std::size_t first(bool input) const { return input ? 0 : input_.unknowns(); }
    // The least that matters of each unknown, V, A or S.
    const std::vector<double>& scales() const { return scales_; }

    // x at rest; empty when neither solver found it.
    std::vector<double> rest() const;

    // f and q at x.
    template <class Real>
    struct Balance {
        std::vector<Real> f;
        std::vector<Real> q;
    };
    template <class Real>
    Balance<Real> balance(const std::vector<Real>& x) const;

    // The largest part of `step`, from 0 to 1, that raises no junction by far more than its knee.
    double allowed(std::span<const double> x, std::span<const double> step) const;

  private:
    // A part of one side, and what this file knows of it besides.
    struct Place {
        bool input = false;
        std::size_t part = 0;
    };
    struct Winding : Place {
        double resistance = 0, inductance = 0;
        std::size_t unknown = 0;
    };
    struct Zener : Place {
        SecondBreakdown law;
        std::size_t unknown = 0;
    };
    struct Capacitance {
        std::size_t from = 0, to = 0;  // unknowns plus one; 0 is the return
        double farads = 0;
    };
    struct Diode : Place {
        SecondJunctionCharge charge;
    };
    struct Bipolar : Place {
        SecondTransistorCharge charge;
    };
    struct Receiver : Place {
        const MadePart* gap = nullptr;
        std::size_t emitter = 0;  // the part of the input side
        bool resistor = false;
        SecondLightResponse response;
        std::size_t unknown = 0;  // 0: it follows at once
    };

    const SecondPart& part(const Place& place) const {
        return side(place.input).parts()[place.part];
    }
    // A node as an unknown plus one.
    std::size_t terminal(bool input, std::size_t node) const {
        return node == 0 ? 0 : first(input) + node;
    }
    void take_part(const MadeLink& link, const Place& place);
    void take_gap(const MadePart& made, const Place& place);
    void set_scales(const MadeLink& link);
    template <class Real>
    void add_side(bool input, const std::vector<Real>& x, Balance<Real>& sum) const;
    template <class Real>
    void add_stores(const std::vector<Real>& x, Balance<Real>& sum) const;
    template <class Real>
    void add_light(const std::vector<Real>& x, Balance<Real>& sum) const;
    template <class Real>
    Real light_of(const Receiver& receiver, const std::vector<Real>& x) const;

    const MadeLink& link_;
    Settings settings_;
    GapLight light_;
    SecondSide input_;
    SecondSide output_;
    std::size_t size_ = 0;
    std::vector<double> scales_;
    std::vector<Winding> windings_;
    std::vector<Zener> zeners_;
    std::vector<Capacitance> capacitances_;
    std::vector<Diode> diodes_;
    std::vector<Bipolar> bipolars_;
    std::vector<Receiver> receivers_;
};

}  // namespace gapwright::reference
