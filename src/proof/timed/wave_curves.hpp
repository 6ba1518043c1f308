// What of a link is shown in time, and the curves of it. Internal to the layer.
#pragma once

#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/timed/wave_answer.hpp"
#include "units/dimension.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

// A quantity with its place.
struct Quantity {
    std::string name;
    Side side;
    Dimension dimension;
    Probe probe;
};

// Voltages of named nodes, currents of all parts but capacitors.
std::vector<Quantity> quantities_of(const Link& link, const LinkCircuit& circuit);

// As WaveAnswer has them: points that no curve needs are left out.
struct WaveCurves {
    std::vector<double> times;
    std::vector<WaveCurve> curves;  // by quantity
    std::vector<WaveCurve> lights;  // by gap
};
WaveCurves wave_curves(const Link& link, const LinkCircuit& circuit,
                       const std::vector<Quantity>& quantities,
                       const std::vector<WavePoint>& points);

}  // namespace gapwright
