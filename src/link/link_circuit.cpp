#include "link/link_circuit.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <cstddef>
#include <expected>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "device/figures.hpp"
#include "link/dynamics_builder.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/network_builder.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

using building::Adder;
using building::Slots;

// Light's share of infrared for a silicon receiver whose card does not state its response to
// ambient light, lx per W/m²: 110 for sun and sky; from 20, filament lamps, to 150, white LEDs and
// tubes with little infrared (common practice).
constexpr Spread ambient_efficacy = {110, 20, 150};

// A description with what the circuit needs and files state otherwise: CTR as a photocurrent ratio.
struct Resolved {
    Description description;
    std::optional<Diagnostic> problem;
};

Resolved resolve(const Part& part) {
    Resolved result{part.description, std::nullopt};
    Description& d = result.description;
    if (d.value_to_choose) {
        result.problem = Diagnostic{.cause = Cause::missing_key,
                                    .place = part.place,
                                    .message = fmt::format("{} is still to be chosen", part.name),
                                    .remedy =
                                        "let gapwright design choose it, or state its "
                                        "value, for example value = \"330 Ω\""};
        return result;
    }
    const auto* ctr = d.find(Key::ctr);
    if (!ctr) return result;
    Figure ratio{.spread = {}, .conditions = {}, .normal = ctr->normal, .place = ctr->place};
    for (const auto& [from, to] : {std::pair{ctr->spread.lowest, &ratio.spread.lowest},
                                   std::pair{ctr->spread.nominal, &ratio.spread.nominal},
                                   std::pair{ctr->spread.highest, &ratio.spread.highest}}) {
        const auto found =
            building::photocurrent_ratio_for(from, ctr->conditions[0], ctr->conditions[1], d);
        if (!found) {
            result.problem =
                Diagnostic{.cause = Cause::contradiction,
                           .place = ctr->place,
                           .message = fmt::format("no photocurrent gives {} this transfer ratio "
                                                  "with the receiver as stated",
                                                  part.name),
                           .remedy = "check ctr, its conditions, and the receiver's gain"};
            return result;
        }
        *to = *found;
    }
    d.figures.erase(Key::ctr);
    d.figures[Key::photocurrent_ratio] = ratio;
    return result;
}

// The figures of an open pair as the beam's and receiver's laws want them: per ampere, per W/m².
Description beam_description(const Description& pair) {
    Description beam;
    beam.kind = Kind::pair;
    for (const Key key : {Key::distance, Key::angle, Key::shroud}) beam.figures[key] = pair.at(key);
    const Description& emitter = *pair.emitter;
    const auto per_condition = [](Figure figure) {
        for (double* end :
             {&figure.spread.lowest, &figure.spread.nominal, &figure.spread.highest}) {
            *end /= figure.conditions[0];
        }
        figure.conditions.clear();
        return figure;
    };
    beam.figures[Key::intensity] =
        per_condition(emitter.at(receiver_rule(receiver_of(pair)).intensity));
    beam.figures[Key::half_angle] = emitter.at(Key::half_angle);
    beam.figures[Key::temperature_coefficient] = emitter.at(Key::temperature_coefficient);
    const Figure* sensitivity = pair.receiver->find(Key::sensitivity);
    if (!sensitivity) return beam;  // one that follows the illuminance
    beam.figures[Key::sensitivity] = per_condition(*sensitivity);
    if (const auto* ambient = pair.receiver->find(Key::ambient_sensitivity)) {
        beam.figures[Key::ambient_sensitivity] = per_condition(*ambient);
    } else {
        Figure ambient_figure = beam.figures[Key::sensitivity];
        ambient_figure.assumed = true;
        const double per_irradiance = ambient_figure.spread.nominal;
        ambient_figure.spread = {per_irradiance / ambient_efficacy.nominal,
                                 per_irradiance / ambient_efficacy.highest,
                                 per_irradiance / ambient_efficacy.lowest};
        beam.figures[Key::ambient_sensitivity] = ambient_figure;
    }
    return beam;
}

// The slots of a part, and of what a pair is made of.
struct PartSlots {
    Slots own;
    std::optional<Slots> emitter;
    std::optional<Slots> receiver;
    std::optional<Slots> beam;
};

// What one part became.
struct Resolution {
    Description description;
    std::unique_ptr<Description> beam;
};

class CircuitBuilder {
  public:
    explicit CircuitBuilder(const Link& link) : link_(link) {}

    Expected<LinkCircuit> build() {
        Problems problems;
        for (const auto& part : link_.parts) {
            result_.part_names.push_back(part.name);
            auto resolved = resolve(part);
            if (resolved.problem) problems.push_back(*resolved.problem);
            resolutions_.push_back({std::move(resolved.description), nullptr});
        }
        if (!problems.empty()) return std::unexpected(std::move(problems));
        make_slots();
        result_.input.resize(link_.parts.size());
        result_.output.resize(link_.parts.size());
        for (const auto& state : link_.states) add_state(state);
        if (!link_.states.empty()) add_dynamics();
        result_.circuit.slots = result_.parameters.size();
        result_.circuit.shares = link_.shares();
        return std::move(result_);
    }

  private:
    void make_slots() {
        auto& parameters = result_.parameters;
        for (std::size_t k = 0; k < link_.parts.size(); ++k) {
            const auto owner = [k](FigureId::Of of) { return FigureId{.of = of, .part = k}; };
            const Description& d = resolutions_[k].description;
            PartSlots slots{Slots(parameters, owner(FigureId::Of::part), d), {}, {}, {}};
            if (d.kind == Kind::pair) {
                resolutions_[k].beam = std::make_unique<Description>(beam_description(d));
                slots.emitter = Slots(parameters, owner(FigureId::Of::emitter), *d.emitter);
                slots.receiver = Slots(parameters, owner(FigureId::Of::receiver), *d.receiver);
                slots.beam = Slots(parameters, owner(FigureId::Of::part), *resolutions_[k].beam);
            }
            slots_.push_back(std::move(slots));
        }
        for (const Side side : {Side::input, Side::output}) {
            const auto& supply = link_.side(side).supply;
            if (!supply) continue;
            auto& slots = side == Side::input ? input_supply_ : output_supply_;
            slots = Slots(parameters, supply_figure(side, {}), *supply);
        }
        zero_ = building::add_parameter(parameters, {},
                                        {.spread = exactly(0), .conditions = {}, .place = {}},
                                        Dimension::ratio);
    }

    void add_state(const State& state) {
        StateNetworks networks;
        const bool first = result_.circuit.states.empty();
        for (const Side side : {Side::input, Side::output}) {
            Network& network = side == Side::input ? networks.input : networks.output;
            network.nodes = link_.side(side).node_names.size();
            Adder adder(network);
            add_supply(adder, side);
            for (std::size_t k = 0; k < link_.parts.size(); ++k) {
                const auto& placement = link_.parts[k].on(side);
                if (!placement) continue;
                PlacedProbes probes;
                probes.side = side;
                probes.main.plus = placement->from;
                probes.main.minus = placement->to;
                add_part(adder, k, *placement, state, probes, first);
                if (first) (side == Side::input ? result_.input : result_.output)[k] = probes;
            }
        }
        result_.circuit.states.push_back(std::move(networks));
    }

    // After all else, so that figures at rest keep their slots whatever a part stores.
    void add_dynamics() {
        for (std::size_t k = 0; k < link_.parts.size(); ++k) {
            const PartSlots& slots = slots_[k];
            for (const Side side : {Side::input, Side::output}) {
                const auto& placement = link_.parts[k].on(side);
                if (!placement) continue;
                const bool gap = link_.parts[k].is_gap();
                const auto& half = side == Side::input ? slots.emitter : slots.receiver;
                building::add_part_dynamics(
                    half ? *half : slots.own, *placement, *result_.of(k, side),
                    gap ? std::optional(gap_of_.at(k)) : std::nullopt, result_.circuit);
            }
            if (const auto found = gap_of_.find(k); found != gap_of_.end()) {
                Gap& gap = result_.circuit.gaps[to_index(found->second)];
                gap.capacitance = slots.own.find(Key::gap_capacitance);
                gap.base_share = slots.own.find(Key::base_share);
            }
        }
    }

    void add_supply(Adder& adder, Side side) const {
        const auto& slots = side == Side::input ? input_supply_ : output_supply_;
        // Without a supply nothing refers to the node; it is held at the return.
        adder.add(
            Branch{.from = Node::side_return,
                   .to = supply_node,
                   .voltage = slots ? std::optional((*slots)(Key::voltage)) : std::nullopt,
                   .resistance = slots ? std::optional((*slots)(Key::resistance)) : std::nullopt});
    }

    void add_part(Adder& adder, std::size_t k, const Placement& p, const State& state,
                  PlacedProbes& probes, bool first) {
        const Slots& slots = slots_[k].own;
        const Description& d = resolutions_[k].description;
        const auto main = [&](ElementIndex element, double weight = 1) {
            probes.main.current.push_back({.element = element, .main = weight, .base = 0});
        };
        switch (d.kind) {
            case Kind::resistor:
                main(adder.resistance(p.from, p.to, slots(Key::value)));
                break;
            case Kind::coil:
            case Kind::load:
            case Kind::inductor:
                main(adder.resistance(p.from, p.to, slots(Key::resistance)));
                break;
            case Kind::contact:
                add_contact(adder, slots, p, state.settings.at(k) == Setting::closed, probes);
                break;
            case Kind::logic_output:
                main(adder.add(Branch{
                    .from = Node::side_return,
                    .to = p.to,
                    .voltage = slots(state.settings.at(k) == Setting::high ? Key::high : Key::low),
                    .resistance = slots(Key::resistance)}));
                break;
            case Kind::logic_input:
                main(adder.add(LeakageElement{p.from, p.to, slots(Key::leakage)}));
                break;
            case Kind::diode:
            case Kind::led:
                main(adder.junction(p.from, p.to, slots));
                break;
            case Kind::zener:
                main(adder.junction(p.from, p.to, slots));
                main(adder.breakdown(p.to, p.from, slots), -1);
                break;
            case Kind::transistor:
                adder.transistor(p.from, p.to, p.control, d.choice(Key::polarity, "npn") == "pnp",
                                 slots, std::nullopt, probes);
                break;
            case Kind::mosfet:
                add_mosfet(adder, slots, p, d.choice(Key::channel, "n") == "p", probes);
                break;
            case Kind::coupler:
            case Kind::pair:
                add_gap(adder, k, p, probes, first);
                break;
            case Kind::capacitor:  // no current at rest
            case Kind::phototransistor:
            case Kind::light_dependent_resistor:
            case Kind::battery:  // never in a path: readers refuse them
                break;
        }
    }

    void add_contact(Adder& adder, const Slots& slots, const Placement& p, bool closed,
                     PlacedProbes& probes) const {
        const ElementIndex resistance = adder.resistance(
            p.from, p.to, slots(closed ? Key::closed_resistance : Key::open_resistance));
        const ElementIndex leakage =
            adder.add(LeakageElement{p.from, p.to, closed ? zero_ : slots(Key::leakage)});
        for (const auto element : {resistance, leakage}) {
            probes.main.current.push_back({.element = element, .main = 1, .base = 0});
        }
    }

    static void add_mosfet(Adder& adder, const Slots& slots, const Placement& p, bool p_channel,
                           PlacedProbes& probes) {
        const ElementIndex element = adder.add(
            MosfetElement{.from = p.from,
                          .to = p.to,
                          .gate = *p.control,
                          .p_channel = p_channel,
                          .card = {.threshold = slots(Key::threshold),
                                   .threshold_slope = slots(Key::threshold_slope),
                                   .transconductance = slots(Key::transconductance),
                                   .slope_factor = slots(Key::slope_factor),
                                   .channel_modulation = slots(Key::channel_modulation)}});
        probes.main.current.push_back({.element = element, .main = 1, .base = 0});
        probes.control = Port{.plus = p_channel ? p.from : *p.control,
                              .minus = p_channel ? *p.control : p.to,
                              .current = {}};
    }

    // A gap's emitter on the input side, its receiver on the output side.
    void add_gap(Adder& adder, std::size_t k, const Placement& p, PlacedProbes& probes,
                 bool first) {
        const PartSlots& slots = slots_[k];
        const bool open = slots.emitter.has_value();
        if (p.side == Side::input) {
            const Slots& emitter = open ? *slots.emitter : slots.own;
            const ElementIndex element = adder.junction(p.from, p.to, emitter);
            probes.main.current.push_back({.element = element, .main = 1, .base = 0});
            if (first) {
                gap_of_[k] = static_cast<GapIndex>(result_.circuit.gaps.size());
                result_.circuit.gaps.push_back(gap(k, element, emitter));
            }
            return;
        }
        const GapIndex index = gap_of_.at(k);
        const Slots& receiver = open ? *slots.receiver : slots.own;
        switch (receiver_of(resolutions_[k].description)) {
            case Receiver::phototransistor:
                adder.transistor(p.from, p.to, p.control, false, receiver, index, probes);
                if (!p.control) probes.control.reset();  // nothing is connected to its base
                break;
            case Receiver::light_dependent_resistor:
                adder.light_resistor(p.from, p.to, receiver, index, probes);
                break;
        }
    }

    Gap gap(std::size_t k, ElementIndex emitter, const Slots& emitter_slots) const {
        const PartSlots& slots = slots_[k];
        Gap result{.emitter = emitter, .kind = CouplerGap{}, .life = {}};
        if (const auto time = emitter_slots.find(Key::to_80_percent)) {
            result.life = Life<Slot>{.to_80_percent = *time,
                                     .at_current = emitter_slots(Key::at_current),
                                     .at_temperature = emitter_slots(Key::at_temperature),
                                     .current_exponent = emitter_slots(Key::current_exponent),
                                     .activation_energy = emitter_slots(Key::activation_energy),
                                     .shape = emitter_slots(Key::shape)};
        }
        if (!slots.beam) {
            const Slots& s = slots.own;
            result.kind = CouplerGap{{.photocurrent_ratio = s(Key::photocurrent_ratio),
                                      .low_knee = s(Key::low_knee),
                                      .high_knee = s(Key::high_knee),
                                      .temperature_coefficient = s(Key::temperature_coefficient),
                                      .dark_current = s(Key::dark_current)}};
            return result;
        }
        const Slots& s = *slots.beam;
        const Beam<Slot> beam{.intensity = s(Key::intensity),
                              .half_angle = s(Key::half_angle),
                              .temperature_coefficient = s(Key::temperature_coefficient),
                              .distance = s(Key::distance),
                              .angle = s(Key::angle),
                              .shroud = s(Key::shroud)};
        if (const auto sensitivity = s.find(Key::sensitivity)) {
            result.kind = PhotocurrentGap{.beam = beam,
                                          .sensitivity = *sensitivity,
                                          .ambient_sensitivity = s(Key::ambient_sensitivity),
                                          .dark_current = (*slots.receiver)(Key::dark_current)};
        } else {
            result.kind = IlluminanceGap{beam};
        }
        return result;
    }

    const Link& link_;
    LinkCircuit result_;
    std::vector<Resolution> resolutions_;
    std::vector<PartSlots> slots_;
    std::optional<Slots> input_supply_;
    std::optional<Slots> output_supply_;
    std::map<std::size_t, GapIndex> gap_of_;
    Slot zero_{};
};

}  // namespace

Probe PlacedProbes::current() const {
    return {.kind = Probe::Kind::current, .side = side, .ports = {main}};
}

std::optional<Probe> PlacedProbes::base_current() const {
    if (!control || control->current.empty()) return std::nullopt;
    return Probe{.kind = Probe::Kind::current, .side = side, .ports = {*control}};
}

std::optional<Probe> PlacedProbes::control_voltage() const {
    if (!control) return std::nullopt;
    return Probe{.kind = Probe::Kind::voltage, .side = side, .ports = {*control}};
}

Probe PlacedProbes::voltage() const {
    return {.kind = Probe::Kind::voltage, .side = side, .ports = {main}};
}

Probe PlacedProbes::power() const {
    Probe probe{.kind = Probe::Kind::power, .side = side, .ports = {main}};
    if (control) probe.ports.push_back(*control);
    return probe;
}

std::string LinkCircuit::name_of(Slot slot) const {
    return figure_text(part_names, parameters[to_index(slot)].id);
}

std::optional<Slot> LinkCircuit::find(const FigureId& figure) const {
    const auto found = std::ranges::find(parameters, figure, &Parameter::id);
    if (found == parameters.end()) return std::nullopt;
    return static_cast<Slot>(found - parameters.begin());
}

std::vector<double> LinkCircuit::nominal_values() const {
    std::vector<double> values;
    for (const auto& parameter : parameters) values.push_back(parameter.spread.nominal);
    return values;
}

Expected<LinkCircuit> build_circuit(const Link& link) {
    return CircuitBuilder(link).build();
}

// The supply is the first element of every network.
Probe supply_current(Side side) {
    const CurrentTerm term{.element = static_cast<ElementIndex>(0), .main = 1, .base = 0};
    return {.kind = Probe::Kind::current,
            .side = side,
            .ports = {{.plus = supply_node, .minus = Node::side_return, .current = {term}}}};
}

std::string node_description(const LinkSide& side, Node node) {
    const auto k = to_index(node);
    return k < side.node_names.size() ? side.node_names[k] : "inside a part";
}

}  // namespace gapwright
