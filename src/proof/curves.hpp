// Curves of a link, each point solved: load lines of both sides of a gap, and life.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "link/link.hpp"
#include "link/link_circuit.hpp"

namespace gapwright {

struct CurvePoint {
    double x = 0;
    double y = 0;
};

struct Curve {
    std::string label;
    std::vector<CurvePoint> points;
};

// A gap's emitter or receiver: its current (A) against its voltage (V).
struct LoadLines {
    std::string part;        // "U1" for the emitter, "U1.receiver"
    std::vector<Curve> own;  // weakest, nominal, strongest
    Curve load;              // the current that the rest of the circuit lets it have
    std::vector<std::pair<std::string, CurvePoint>> states;  // operating points
    double supply = 0;                                       // V, of its side
    std::optional<double> largest_current;                   // limits of the card
    std::optional<double> largest_voltage;
};

// For each gap its emitter's and its receiver's, all else nominal, in the state in which the
// emitter carries most. The receiver's weakest has its light's figures at their low ends and is at
// the end of its life. Lines that cannot be solved are left out.
std::vector<LoadLines> load_lines(const Link& link, const LinkCircuit& circuit);

// Light of each gap, as a share of a new one's, and each promise's reserve, as a share of a new
// link's, against years of service; nominal parts. Empty when the link states no service.
struct LifeCurves {
    std::vector<double> years;
    std::vector<Curve> light;     // by gap; y a share
    std::vector<Curve> promises;  // y a share
};
LifeCurves life_curves(const Link& link, const LinkCircuit& circuit);

}  // namespace gapwright
