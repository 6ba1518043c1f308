// A link of eight unknown node voltages, written out by hand as a plain solver would have it: two
// diodes and a resistor on the input, a resistor, a diode and the receiver on the output,
// everything varied. The device laws are the program's own; all else is independent of it.
//
// Input:  supply – R1 – [0] – D1 – [1] – emitter – [2] – its series resistance – return, behind
//         the supply's own resistance at [3].
// Output: supply – R2 – [4] – D2 – [5] – collector resistance – [6] – receiver, base [7] – return.
#pragma once

#include <string>

#include "device/junction.hpp"
#include "device/transistor.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "solvers/problem.hpp"

namespace gapwright::benchmarks {

// The link as the program reads it.
std::string eight_unknowns_text();

inline constexpr int unknowns = 8;

// One specimen of it, made ready: figures read, laws at the specimen's temperature.
class EightUnknowns final : public Problem {
  public:
    // Where the program keeps the figures; worked out once.
    struct Slots {
        explicit Slots(const LinkCircuit& circuit);
        Slot input_supply, input_resistance, r1, r2, output_supply, emitter_series;
        const JunctionElement* d1;
        const JunctionElement* emitter;
        const JunctionElement* d2;
        const TransistorElement* receiver;
        Slot collector_resistance;
        const Gap* gap;
    };

    EightUnknowns(const Slots& slots, const Specimen& specimen);

    int size() const override { return unknowns; }
    // The current that each node leaves unbalanced, A.
    void residual(const double* x, double* f) const override;
    void jacobian(const double* x, double* j) const override;

    // For Newton's method with limited steps: the voltages that control the devices are kept apart
    // from the nodes'. `tangent` gives residual and derivatives with each device replaced by its
    // tangent at its control voltages; `move` brings these to what the nodes say, as far as limits
    // allow, and returns whether they have arrived.
    static constexpr int controls = 5;
    void tangent(const double* x, const double* control, double* f, double* j) const;
    bool move(const double* x, double* control) const;

    // Through R2, A.
    double output_current(const double* x) const { return g2_ * (output_supply_ - x[4]); }

  private:
    struct Currents;
    Currents currents(const double* control) const;
    static void controls_at(const double* x, double* control);
    void residual(const Currents& c, const double* x, double* f) const;
    void jacobian(const Currents& c, double* j) const;

    double input_supply_, input_conductance_, g1_, g2_, output_supply_, emitter_conductance_;
    double collector_conductance_;
    JunctionAt<double> d1_, emitter_, d2_;
    TransistorAt<double> receiver_;
    Transfer<double> transfer_;
    double temperature_;
};

}  // namespace gapwright::benchmarks
