// What insulation standards ask, as tables and as the rules for reading between their rows.
//
// All of it is from memory; check it against the standards. Of IEC 60664-1:2007 the creepage
// distances (table F.4, to 2000 V) were compared with a reproduction of that table in a
// manufacturer's catalogue, four clearances (table F.2) with a railway's rules, and the impulse
// voltages for mains of 150 to 600 V (table F.1) with a manufacturer's note; the rest was not.
// Voltages in V, distances in m; altitude up to 2000 m, frequencies up to 30 kHz.
#pragma once

#include <optional>

#include "link/link.hpp"

namespace gapwright {

// Limits of energy source class 1 of IEC 62368-1 (from memory): what this program calls extra-low
// voltage.
inline constexpr double es1_direct = 60;  // V d.c.
inline constexpr double es1_rms = 30;     // V a.c., r.m.s.
inline constexpr double es1_peak = 42.4;  // V a.c., peak

// The rated impulse voltage of equipment on a mains of `mains` V r.m.s. line to neutral, in
// overvoltage category 1 to 4 (IEC 60664-1 table F.1). The row at or above `mains` counts, without
// interpolation. Empty above 1000 V.
std::optional<double> rated_impulse(double mains, int category);

// The impulse voltage that reinforced insulation withstands where basic insulation withstands
// `impulse`: the next of the preferred series 330, 500, 800 V, 1.5, 2.5, 4, 6, 8, 12 kV; where
// `impulse` is not in the series or is its last, 160 % of it (IEC 60664-1, 5.1.6; the last is our
// own reading).
double reinforced_impulse(double impulse);

// The least clearance for an impulse voltage, inhomogeneous field (table F.2, case A), in pollution
// degree 1 to 3. Linear between rows, as the standard allows for what is not fed from the mains; of
// a preferred voltage, the only ones that mains ask for, it is the row itself. Up to 330 V the row
// of 330 V. Empty above 40 kV.
std::optional<double> impulse_clearance(double impulse, int pollution_degree);

// The least clearance for a voltage that lasts, by its peak, inhomogeneous field (table F.7a, case
// A); linear between rows. Up to 330 V the row of 330 V. Empty above 10 kV.
std::optional<double> steady_clearance(double peak);

// The least creepage distance of basic insulation for a voltage, V r.m.s. or d.c. (table F.4),
// linear between rows; up to 10 V the row of 10 V. Empty above 2000 V.
std::optional<double> creepage_distance(double voltage, int pollution_degree,
                                        Insulation::Group group);

// The same on printed wiring, of which the table has columns of its own: in pollution degree 1, and
// in 2 but for group IIIb. Empty elsewhere and above 1000 V.
std::optional<double> printed_creepage(double voltage, int pollution_degree,
                                       Insulation::Group group);

// The voltage of the row of table F.4 that counts for a mains of so many V: that at or above it
// (table F.3a), 230 V -> 250 V. Empty above 2000 V.
std::optional<double> rationalised_voltage(double voltage);

}  // namespace gapwright
