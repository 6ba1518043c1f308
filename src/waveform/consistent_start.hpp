// The unknowns right after something jumped: charges, fluxes and slow conductances as they were,
// everything else as the circuit's new state asks for. Internal to the layer.
#pragma once

#include <expected>

#include "waveform/equations.hpp"

namespace gapwright::waveforms {

struct Start {
    VectorXd y;
    VectorXd slope;  // of what is stored; the rest is algebraic and has 0
};

// `before`: y an instant earlier. Where no start was found: the unknown that moved most at the end.
//
// One step backwards of Euler's method, so short that what is stored stays (0.1 ps), by Newton's
// method with limited junctions; where that runs in circles, the nodes are held to where they were
// by conductances that fall to nothing (pseudo-transient continuation, Kelley & Keyes 1998), as at
// rest.
std::expected<Start, Index> consistent_start(Equations& equations, double time,
                                             const VectorXd& before);

}  // namespace gapwright::waveforms
