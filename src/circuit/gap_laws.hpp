// The light across a gap from its slots: written once for a single specimen, for lanes of specimens
// and for derivatives. Internal to the layers that solve.
//
// `value(slot)` gives the specimen's figure, of type Real.
#pragma once

#include <cstddef>
#include <span>
#include <variant>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "device/figures.hpp"
#include "device/light.hpp"

namespace gapwright {

// What surrounds a specimen, in the number type of its figures.
template <class Real>
struct ConditionsOf {
    Real temperature;  // K
    Real light;        // lx
    Real age;          // s
};

// The light of one gap of any kind at an emitter current, with the share `life` of it left.
template <class Real, class Values>
struct LightOf {
    const Values& value;
    const ConditionsOf<Real>& conditions;
    Real emitter_current;
    Real life;

    Real operator()(const CouplerGap& gap) const {
        const auto& t = gap.transfer;
        const Transfer<Real> transfer{.photocurrent_ratio = value(t.photocurrent_ratio),
                                      .low_knee = value(t.low_knee),
                                      .high_knee = value(t.high_knee),
                                      .temperature_coefficient = value(t.temperature_coefficient),
                                      .dark_current = value(t.dark_current)};
        return coupler_photocurrent(transfer, emitter_current, conditions.temperature, life);
    }
    Real operator()(const PhotocurrentGap& gap) const {
        const auto beam = beam_of(gap.beam);
        return value(gap.sensitivity) * from_beam(beam) +
               value(gap.ambient_sensitivity) * ambient(beam) +
               dark_current_at(value(gap.dark_current), conditions.temperature);
    }
    Real operator()(const IlluminanceGap& gap) const {
        const auto beam = beam_of(gap.beam);
        return from_beam(beam) + ambient(beam);
    }

    Beam<Real> beam_of(const Beam<Slot>& slots) const {
        return {.intensity = value(slots.intensity),
                .half_angle = value(slots.half_angle),
                .temperature_coefficient = value(slots.temperature_coefficient),
                .distance = value(slots.distance),
                .angle = value(slots.angle),
                .shroud = value(slots.shroud)};
    }
    Real from_beam(const Beam<Real>& beam) const {
        return beam_at_receiver(beam, emitter_current, conditions.temperature, life);
    }
    Real ambient(const Beam<Real>& beam) const { return (1.0 - beam.shroud) * conditions.light; }
};

// The share of light that is left of an emitter that carries `current(state)`, A, in each of the
// link's states; `shares` of its age by state, empty where they are not known (device/light.hpp).
template <class Real, class Values, class Currents>
Real life_at(const Gap& gap, const Values& value, const ConditionsOf<Real>& conditions,
             std::span<const double> shares, std::size_t states, const Currents& current) {
    if (!gap.life) return Real(1.0);
    const auto& l = *gap.life;
    const Life<Real> life{.to_80_percent = value(l.to_80_percent),
                          .at_current = value(l.at_current),
                          .at_temperature = value(l.at_temperature),
                          .current_exponent = value(l.current_exponent),
                          .activation_energy = value(l.activation_energy),
                          .shape = value(l.shape)};
    return light_left(life, conditions.age, wear(life, shares, states, current),
                      conditions.temperature);
}

// What the receiver gets, photocurrent in A or illuminance in lx, with the share `life` of the
// light left.
template <class Real, class Values>
Real light_of_life(const Gap& gap, const Values& value, const ConditionsOf<Real>& conditions,
                   const Real& emitter_current, const Real& life) {
    return std::visit(LightOf<Real, Values>{value, conditions, emitter_current, life}, gap.kind);
}

}  // namespace gapwright
