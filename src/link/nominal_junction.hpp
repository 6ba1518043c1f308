// A junction's law as its description states it, for those who need the part alone.
#pragma once

#include "card/description.hpp"
#include "device/figures.hpp"

namespace gapwright {

// The nominal figures of a diode, zener, LED or coupler's emitter, with what `forward` and
// `forward_slope` stand for worked out. Requires a complete description of such a kind.
Junction<double> nominal_junction(const Description& part);

// The voltage across the part at a current above zero at 25 °C, series resistance included, V.
double nominal_drop(const Description& part, double current);

}  // namespace gapwright
