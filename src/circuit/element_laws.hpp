// From an element's slots to its law at a temperature: written once for a single specimen, for
// lanes of specimens and for derivatives. Internal to the layers that solve.
//
// `value(slot)` gives the specimen's figure, of type Real.
#pragma once

#include "circuit/network.hpp"
#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/junction.hpp"
#include "device/light.hpp"
#include "device/mosfet.hpp"
#include "device/transistor.hpp"

namespace gapwright {

template <class Real, class Values>
JunctionAt<Real> law_at(const JunctionElement& e, const Values& value, const Real& temperature) {
    Junction<Real> card{.saturation_current = Real(0.0),
                        .ideality = value(e.card.ideality),
                        .series_resistance = value(e.card.series_resistance),
                        .bandgap = e.slope ? Real(0.0) : value(e.card.bandgap),
                        .temperature_exponent = value(e.card.temperature_exponent)};
    card.saturation_current =
        e.forward_voltage
            ? saturation_current_through(value(*e.forward_voltage), value(*e.forward_current),
                                         card.ideality, card.series_resistance)
            : value(e.card.saturation_current);
    if (e.slope) card.bandgap = bandgap_of_slope(card, value(*e.slope), value(*e.slope_current));
    return junction_at(card, temperature);
}

template <class Real, class Values>
BreakdownAt<Real> law_at(const BreakdownElement& e, const Values& value, const Real& temperature) {
    const Real current = value(e.current);
    return breakdown_at(value(e.voltage) - current * value(e.resistance), current,
                        value(e.ideality) * thermal_voltage(temperature));
}

template <class Real, class Values>
TransistorAt<Real> law_at(const TransistorElement& e, const Values& value,
                          const Real& temperature) {
    const Transistor<Real> card{.transport_current = value(e.card.transport_current),
                                .gain = value(e.gain ? *e.gain : e.card.gain),
                                .reverse_gain = value(e.card.reverse_gain),
                                .early_voltage = value(e.card.early_voltage),
                                .knee_current = value(e.card.knee_current),
                                .leak_current = value(e.card.leak_current),
                                .leak_ideality = value(e.card.leak_ideality),
                                .collector_resistance = value(e.card.collector_resistance),
                                .gain_exponent = value(e.card.gain_exponent)};
    return transistor_at(card, temperature);
}

template <class Real, class Values>
MosfetAt<Real> law_at(const MosfetElement& e, const Values& value, const Real& temperature) {
    const Mosfet<Real> card{.threshold = value(e.card.threshold),
                            .threshold_slope = value(e.card.threshold_slope),
                            .transconductance = value(e.card.transconductance),
                            .slope_factor = value(e.card.slope_factor),
                            .channel_modulation = value(e.card.channel_modulation)};
    return mosfet_at(card, temperature);
}

// The resistance at an illuminance in lx, Ω.
template <class Real, class Values>
Real resistance_at(const LightResistorElement& e, const Values& value, const Real& illuminance) {
    const LightResistor<Real> card{.resistance = value(e.card.resistance),
                                   .illuminance = value(e.card.illuminance),
                                   .gamma = value(e.card.gamma),
                                   .dark_resistance = value(e.card.dark_resistance)};
    return 1.0 / light_conductance(card, illuminance);
}

}  // namespace gapwright
