// The circuit of a link: for each state one network a side, and the gaps between them.
//
// Networks hold no figures. Each element names the slots in which a specimen keeps its figures, so
// that one network serves every specimen. States differ only in the slots that contacts and logic
// outputs use; nodes and elements are the same in all of them.
#pragma once

#include <cstddef>
#include <optional>
#include <variant>
#include <vector>

#include "circuit/index.hpp"
#include "device/figures.hpp"

namespace gapwright {

// A source, a winding or a resistance, each of which may be zero.
//   v(from) − v(to) + voltage = resistance · current, current from `from` to `to`.
// The current is an unknown of its own: taken as a difference of node voltages over the resistance,
// its rounding alone (femtoamperes at some volts over some ohms) would swamp the currents that
// settle a blocked string.
struct Branch {
    Node from;
    Node to;
    std::optional<Slot> voltage;     // V
    std::optional<Slot> resistance;  // Ω
};

// A junction; its series resistance is an element beside it. With `forward_voltage` and
// `forward_current` the saturation current is the one whose curve passes through that point; with
// `slope` and `slope_current` the band gap is the one whose forward voltage moves so, V/K.
struct JunctionElement {
    Node from;  // anode
    Node to;    // cathode
    Junction<Slot> card;
    std::optional<Slot> forward_voltage;
    std::optional<Slot> forward_current;
    std::optional<Slot> slope = {};
    std::optional<Slot> slope_current = {};
};

// A zener diode's breakdown; its resistance is an element beside it.
struct BreakdownElement {
    Node from;  // cathode
    Node to;    // anode
    Slot voltage;
    Slot current;
    Slot resistance;
    Slot ideality;
};

// The intrinsic transistor. Its main current flows from `from` to `to` in normal conduction: from
// collector to emitter (npn), from emitter to collector (pnp).
struct TransistorElement {
    Node from;
    Node to;
    Node base;
    bool pnp = false;
    Transistor<Slot> card;
    std::optional<Slot> gain;  // in place of card.gain: the second transistor of a darlington
};

// Main current from `from` to `to` in normal conduction: drain to source (n), source to drain (p).
struct MosfetElement {
    Node from;
    Node to;
    Node gate;
    bool p_channel = false;
    Mosfet<Slot> card;
};

struct LeakageElement {
    Node from;
    Node to;
    Slot current;
};

// What light frees in a receiver: a current of its own beside the junction or transistor that it
// stands across. It leaves `from`, a transistor's collector, and enters `to`, its base. The light
// of a gap enters a circuit by this element or the next, and nowhere else.
struct PhotocurrentElement {
    Node from;
    Node to;
    GapIndex lit_by;
};

struct LightResistorElement {
    Node from;
    Node to;
    LightResistor<Slot> card;
    GapIndex lit_by;
    LightResponse<std::optional<Slot>> response = {};  // absent: it follows its light at once
};

using Element =
    std::variant<Branch, JunctionElement, BreakdownElement, TransistorElement, MosfetElement,
                 LeakageElement, PhotocurrentElement, LightResistorElement>;

// One side in one state.
struct Network {
    std::size_t nodes = 1;  // with the return
    std::vector<Element> elements;
};

// What a side stores; nothing of it shows at rest. Figures that are absent count as zero.
struct CapacitanceStore {
    Node from;
    Node to;
    Slot capacitance;  // F
};
struct InductanceStore {
    ElementIndex branch;  // whose own current flows through it
    Slot inductance;      // H
};
struct JunctionStore {
    ElementIndex junction;
    JunctionCharge<std::optional<Slot>> charge;
};
struct TransistorStore {
    ElementIndex transistor;
    TransistorCharge<std::optional<Slot>> charge;
};
using Store = std::variant<CapacitanceStore, InductanceStore, JunctionStore, TransistorStore>;

// How an element passes from the figures of one state to those of another: along a straight line
// for so long, or, closing, with bounces for so long. One without an entry passes at once.
struct Passage {
    enum class Kind : unsigned char { edge, bounce };
    Kind kind = Kind::edge;
    ElementIndex element;
    Slot time;  // s
};

// What one side does in time besides its networks; the same in every state.
struct Dynamics {
    std::vector<Store> stores;
    std::vector<Passage> passages;
};

// A packaged coupler: the receiver's photocurrent follows from the emitter's current.
struct CouplerGap {
    Transfer<Slot> transfer;
};

// An open pair whose receiver gives a photocurrent. Ambient light counts through its own
// sensitivity, since a lux of daylight is no fixed amount of infrared.
struct PhotocurrentGap {
    Beam<Slot> beam;
    Slot sensitivity;          // A per W/m² (or per lx, as the beam is measured)
    Slot ambient_sensitivity;  // A per lx of ambient light
    Slot dark_current;         // A at the reference temperature
};

// An open pair whose receiver follows the illuminance: both lights add, in lx.
struct IlluminanceGap {
    Beam<Slot> beam;
};

struct Gap {
    ElementIndex emitter;  // a JunctionElement of the input side
    std::variant<CouplerGap, PhotocurrentGap, IlluminanceGap> kind;
    std::optional<Life<Slot>> life;  // absent: the card states no fading
    // Between the sides; carries current when they move apart in voltage. A share of it ends on the
    // receiver's base, the rest on its collector.
    std::optional<Slot> capacitance = {};  // F
    std::optional<Slot> base_share = {};
};

struct StateNetworks {
    Network input;
    Network output;

    const Network& side(Side which) const { return which == Side::input ? input : output; }
};

struct Circuit {
    std::vector<StateNetworks> states;
    std::vector<Gap> gaps;
    Dynamics input;
    Dynamics output;
    std::size_t slots = 0;  // how many figures a specimen keeps
    // By state: the share of its life that the link is in it, 0 … 1, together not above 1; the rest
    // it is without supply. Empty: not known; else as many as there are states.
    std::vector<double> shares;

    const Dynamics& dynamics(Side which) const { return which == Side::input ? input : output; }
    Dynamics& dynamics(Side which) { return which == Side::input ? input : output; }
};

// What surrounds a specimen.
struct Conditions {
    double temperature = 298.15;  // K
    double light = 0;             // ambient illuminance on an open gap, lx
    double age = 0;               // service so far, s, whichever states it was spent in

    bool operator==(const Conditions&) const = default;
};

}  // namespace gapwright
