#include "link/dynamics_builder.hpp"
#include <cstddef>
#include <optional>
#include <variant>
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "device/figures.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "link/network_builder.hpp"

namespace gapwright::building {
namespace {

// The slot of a figure that is stated above zero somewhere in its spread.
std::optional<Slot> some(const Slots& slots, Key key) {
    const Figure* figure = slots.description().find(key);
    return figure && figure->spread.highest > 0 ? std::optional(slots(key)) : std::nullopt;
}

class DynamicsAdder {
  public:
    DynamicsAdder(const Slots& slots, const Placement& placement, const PlacedProbes& probes,
                  Circuit& circuit)
        : slots_(slots),
          placement_(placement),
          probes_(probes),
          circuit_(circuit),
          to_(circuit.dynamics(placement.side)) {}

    void capacitance(Node from, Node to, Key key) {
        const auto slot = some(slots_, key);
        if (slot && from != to) to_.stores.push_back(CapacitanceStore{from, to, *slot});
    }
    void inductance(Key key) {
        if (const auto slot = some(slots_, key)) {
            to_.stores.push_back(InductanceStore{element(0), *slot});
        }
    }
    void junction(Key capacitance_key, std::optional<Key> transit_key) {
        const JunctionStore store{element(0),
                                  {some(slots_, capacitance_key),
                                   transit_key ? some(slots_, *transit_key) : std::nullopt}};
        if (store.charge.capacitance || store.charge.transit_time) to_.stores.push_back(store);
    }
    // Both transistors of a darlington store alike.
    void transistors() {
        const TransistorCharge<std::optional<Slot>> charge{
            some(slots_, Key::base_emitter_capacitance),
            some(slots_, Key::base_collector_capacitance), some(slots_, Key::transit_time),
            some(slots_, Key::reverse_transit_time)};
        if (!charge.base_emitter_capacitance && !charge.base_collector_capacitance &&
            !charge.transit_time && !charge.reverse_transit_time) {
            return;
        }
        const Network& network = circuit_.states.front().side(placement_.side);
        for (const auto& term : probes_.main.current) {
            const auto& one = network.elements[to_index(term.element)];
            if (!std::holds_alternative<TransistorElement>(one)) continue;
            to_.stores.push_back(TransistorStore{term.element, charge});
        }
    }
    void gate(bool p_channel) {
        const Node source = p_channel ? placement_.from : placement_.to;
        const Node drain = p_channel ? placement_.to : placement_.from;
        capacitance(*placement_.control, source, Key::gate_source_capacitance);
        capacitance(*placement_.control, drain, Key::gate_drain_capacitance);
    }
    void passage(Passage::Kind kind, Key key) {
        const auto slot = some(slots_, key);
        if (!slot) return;
        for (const auto& term : probes_.main.current) {
            to_.passages.push_back({kind, term.element, *slot});
        }
    }
    void light_response() {
        const auto rise = some(slots_, Key::rise_time);
        const auto decay = some(slots_, Key::decay_time);
        if (!rise && !decay) return;
        for (auto& state : circuit_.states) {
            auto& cell =
                std::get<LightResistorElement>(state.output.elements[to_index(element(0))]);
            cell.response = {rise ? rise : decay, decay ? decay : rise};
        }
    }

  private:
    ElementIndex element(std::size_t term) const { return probes_.main.current[term].element; }

    const Slots& slots_;
    const Placement& placement_;
    const PlacedProbes& probes_;
    Circuit& circuit_;
    Dynamics& to_;
};

}  // namespace

void add_part_dynamics(const Slots& slots, const Placement& placement, const PlacedProbes& probes,
                       std::optional<GapIndex> gap, Circuit& circuit) {
    DynamicsAdder add(slots, placement, probes, circuit);
    const Description& d = slots.description();
    if (gap && placement.side == Side::input) {
        const bool packaged = d.kind == Kind::coupler;
        if (packaged) {
            add.junction(Key::emitter_capacitance, std::nullopt);
        } else {
            add.junction(Key::junction_capacitance, Key::transit_time);
        }
        return;
    }
    switch (d.kind) {
        case Kind::capacitor:
            add.capacitance(placement.from, placement.to, Key::value);
            break;
        case Kind::logic_input:
            add.capacitance(placement.from, placement.to, Key::capacitance);
            break;
        case Kind::inductor:
            add.inductance(Key::value);
            break;
        case Kind::coil:
        case Kind::load:
            add.inductance(Key::inductance);
            break;
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
            add.junction(Key::junction_capacitance, Key::transit_time);
            break;
        case Kind::transistor:
        case Kind::coupler:
        case Kind::phototransistor:
            add.transistors();
            break;
        case Kind::mosfet:
            add.gate(d.choice(Key::channel, "n") == "p");
            break;
        case Kind::light_dependent_resistor:
            add.light_response();
            break;
        case Kind::logic_output:
            add.passage(Passage::Kind::edge, Key::rise_time);
            break;
        case Kind::contact:
            add.passage(Passage::Kind::bounce, Key::bounce);
            break;
        case Kind::resistor:
        case Kind::pair:
        case Kind::battery:
            break;
    }
}

}  // namespace gapwright::building
