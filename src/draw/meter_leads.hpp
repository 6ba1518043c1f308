// The leads of a meter in a schematic. Internal to the layer.
#pragma once

#include "draw/picture.hpp"
#include "draw/schematic.hpp"
#include "draw/schematic_side.hpp"

namespace gapwright {

// Red and black lead where they are held, or an ammeter in the lead that is opened; nothing where a
// spot is not drawn.
void draw_meter(Picture& picture, const SchematicMeter& meter, const DrawnSide& input,
                const DrawnSide& output);

}  // namespace gapwright
