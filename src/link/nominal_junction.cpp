#include "link/nominal_junction.hpp"

#include "card/description.hpp"
#include "card/key.hpp"
#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/junction.hpp"

namespace gapwright {

Junction<double> nominal_junction(const Description& part) {
    const auto* forward = part.find(Key::forward);
    const auto* slope = part.find(Key::forward_slope);
    Junction<double> law{.saturation_current = 0,
                         .ideality = part.nominal(Key::ideality),
                         .series_resistance = part.nominal(Key::series_resistance),
                         .bandgap = slope ? 0 : part.nominal(Key::bandgap),
                         .temperature_exponent = part.nominal(Key::temperature_exponent)};
    law.saturation_current =
        forward ? saturation_current_through(forward->spread.nominal, forward->conditions[0],
                                             law.ideality, law.series_resistance)
                : part.nominal(Key::saturation_current);
    if (slope) law.bandgap = bandgap_of_slope(law, slope->spread.nominal, slope->conditions[0]);
    return law;
}

double nominal_drop(const Description& part, double current) {
    const Junction<double> law = nominal_junction(part);
    return junction_voltage(junction_at(law, reference_temperature), current) +
           law.series_resistance * current;
}

}  // namespace gapwright
