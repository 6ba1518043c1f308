// The arithmetic behind a series resistor, line by line, as a person would write it.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"

namespace gapwright {

// A voltage that something in series takes before the resistor gets the rest.
struct Drop {
    std::string name;  // "D1"
    double voltage;    // V
};

// A series string's sum: what is left over the resistor, and the resistance for a wanted current.
struct SeriesSum {
    double across;      // V, source less all drops
    double resistance;  // Ω, across / wanted current
    std::vector<std::string> lines;
};

// `9 V − 2 V − 1.2 V = 5.8 V; 5.8 V / 20 mA = 290 Ω`. Requires a wanted current above zero. A
// negative result says that the drops leave nothing: the line says so.
SeriesSum series_resistance(double source, const std::vector<Drop>& drops, double wanted_current);

// The check back: `5.8 V / 292 Ω = 19.9 mA`, and the resistor's power. Requires a resistance above
// zero.
struct SeriesCheck {
    double current;  // A
    double power;    // W
    std::vector<std::string> lines;
};
SeriesCheck series_check(double across, double resistance);

// The steps for one series string of resistors in one state of a link.
struct WorkedSteps {
    std::string state;
    std::string resistors;           // "R1", or "R1 + R2"
    std::vector<std::string> lines;  // with units, in order
};

// The sum for one resistor: what is left over it, all else in its string taken as the nominal point
// has it, and the resistance for the current that flows there; in the state in which it carries
// most. Nothing where it carries no current to speak of.
struct ResistorSum {
    std::string state;
    double current = 0;                   // A
    std::vector<std::string> lines = {};  // `4.6 V − 1.2 V (U1) = 3.4 V`, `3.4 V / 6.4 mA = 531 Ω`
};
std::optional<ResistorSum> resistor_sum(const Link& link, const LinkCircuit& circuit,
                                        const std::vector<StatePoint>& nominal, std::size_t part);

// For every series string that carries current in some state: the drops at the solved point and the
// check back with the value used; before it, where an emitter or LED in the string states its
// forward voltage at a current, the resistance that this current would want. Each string is worked
// out in the state in which it carries most.
std::vector<WorkedSteps> worked_steps(const Link& link, const LinkCircuit& circuit,
                                      const std::vector<StatePoint>& nominal);

}  // namespace gapwright
