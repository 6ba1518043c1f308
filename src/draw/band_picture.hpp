// A resistor as it lies on the bench, with its colour bands: for finding it in the drawer.
#pragma once

#include <string>

#include "draw/picture.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {

struct BandedResistor {
    std::string name;   // "R2, R3"
    std::string value;  // "4.7 kΩ ± 5 %, 0.25 W"
    ColourBands bands;  // three to five, in the order of reading
};

// Drawn with the first band on the left and the tolerance band set apart on the right; each band's
// colour stands below it as a word, so that nothing rests on colour alone.
Picture draw_banded_resistor(const BandedResistor& resistor);

}  // namespace gapwright
