// A side's elements with one specimen's figures at one temperature and light: what Newton's method
// works on, in doubles, and what proves an enclosure, in intervals. Internal to the layers that
// solve.
#pragma once

#include <span>
#include <variant>
#include <vector>

#include "circuit/element_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "device/junction.hpp"
#include "device/mosfet.hpp"
#include "device/transistor.hpp"

namespace gapwright::prepared {

template <class Real>
struct SourceOf {
    Node from, to;
    Real voltage;     // V
    Real resistance;  // Ω
};
template <class Real>
struct DiodeOf {
    Node from, to;
    JunctionAt<Real> law;
};
template <class Real>
struct BreakdownOf {
    Node from, to;
    BreakdownAt<Real> law;
};
template <class Real>
struct BipolarOf {
    Node collector, emitter, base;
    double polarity;  // +1 npn, −1 pnp
    TransistorAt<Real> law;
};
template <class Real>
struct FieldEffectOf {
    Node drain, source, gate;
    double polarity;  // +1 n-channel, −1 p-channel
    MosfetAt<Real> law;
};
template <class Real>
struct LeakOf {
    Node from, to;
    Real current;  // A
};

template <class Real>
struct PhotocurrentOf {
    Node from, to;
    Real current;  // A
};

template <class Real>
using ElementOf = std::variant<SourceOf<Real>, DiodeOf<Real>, BreakdownOf<Real>, BipolarOf<Real>,
                               FieldEffectOf<Real>, LeakOf<Real>, PhotocurrentOf<Real>>;

using Source = SourceOf<double>;
using Diode = DiodeOf<double>;
using Breakdown = BreakdownOf<double>;
using Bipolar = BipolarOf<double>;
using FieldEffect = FieldEffectOf<double>;
using Leak = LeakOf<double>;
using Photocurrent = PhotocurrentOf<double>;
using Element = ElementOf<double>;

// Builds an element from the figures that `value(slot)` gives, at a temperature in K and the light
// of each gap. A visitor of the network's elements.
template <class Real, class Values>
struct Preparer {
    const Values& value;
    Real temperature;
    std::span<const Real> light;

    ElementOf<Real> operator()(const Branch& e) const {
        return SourceOf<Real>{e.from, e.to, e.voltage ? value(*e.voltage) : Real(0.0),
                              e.resistance ? value(*e.resistance) : Real(0.0)};
    }
    ElementOf<Real> operator()(const JunctionElement& e) const {
        return DiodeOf<Real>{e.from, e.to, law_at(e, value, temperature)};
    }
    ElementOf<Real> operator()(const BreakdownElement& e) const {
        return BreakdownOf<Real>{e.from, e.to, law_at(e, value, temperature)};
    }
    ElementOf<Real> operator()(const TransistorElement& e) const {
        return BipolarOf<Real>{.collector = e.pnp ? e.to : e.from,
                               .emitter = e.pnp ? e.from : e.to,
                               .base = e.base,
                               .polarity = e.pnp ? -1.0 : 1.0,
                               .law = law_at(e, value, temperature)};
    }
    ElementOf<Real> operator()(const MosfetElement& e) const {
        return FieldEffectOf<Real>{.drain = e.p_channel ? e.to : e.from,
                                   .source = e.p_channel ? e.from : e.to,
                                   .gate = e.gate,
                                   .polarity = e.p_channel ? -1.0 : 1.0,
                                   .law = law_at(e, value, temperature)};
    }
    ElementOf<Real> operator()(const LeakageElement& e) const {
        return LeakOf<Real>{e.from, e.to, value(e.current)};
    }
    ElementOf<Real> operator()(const PhotocurrentElement& e) const {
        return PhotocurrentOf<Real>{e.from, e.to, light[to_index(e.lit_by)]};
    }
    ElementOf<Real> operator()(const LightResistorElement& e) const {
        return SourceOf<Real>{e.from, e.to, Real(0.0),
                              resistance_at(e, value, light[to_index(e.lit_by)])};
    }
};

// One prepared element for each element of the network, in the same order.
std::vector<Element> prepare(const Network& network, std::span<const double> values,
                             const Conditions& conditions, const GapLight& light);

}  // namespace gapwright::prepared
