#include "fit/fitted_law.hpp"

#include <optional>

#include "card/part_kind.hpp"

namespace gapwright {

std::optional<FittedLaw> fitted_law(Kind kind) {
    switch (kind) {
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
            return FittedLaw::junction;
        case Kind::coupler:
            return FittedLaw::coupler;
        case Kind::phototransistor:
            return FittedLaw::phototransistor;
        case Kind::light_dependent_resistor:
            return FittedLaw::light_resistor;
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::contact:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::coil:
        case Kind::load:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::pair:
        case Kind::battery:
            break;
    }
    return std::nullopt;
}

}  // namespace gapwright
