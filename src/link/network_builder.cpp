#include "link/network_builder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "device/figures.hpp"
#include "device/light.hpp"
#include "link/figure_id.hpp"
#include "link/link_circuit.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright::building {
Slot add_parameter(std::vector<Parameter>& parameters, const FigureId& id, const Figure& figure,
                   Dimension dimension, Range range) {
    parameters.push_back({.id = id,
                          .spread = figure.spread,
                          .normal = figure.normal,
                          .dimension = dimension,
                          .range = range,
                          .assumed = figure.assumed});
    return static_cast<Slot>(parameters.size() - 1);
}

Slot Slots::operator()(Key key) const {
    if (const auto known = made_.find({key, false}); known != made_.end()) return known->second;
    const auto* rule = find_key(kind_rule(description_->kind), key);
    FigureId id = owner_;
    id.key = key;
    const Slot slot = add_parameter(*parameters_, id, description_->at(key),
                                    rule ? rule->dimension : Dimension::ratio,
                                    rule ? rule->range : Range::from_zero);
    made_[{key, false}] = slot;
    return slot;
}

std::optional<Slot> Slots::find(Key key) const {
    return description_->find(key) ? std::optional((*this)(key)) : std::nullopt;
}

std::optional<Slot> Slots::condition(Key key) const {
    const auto* figure = description_->find(key);
    if (!figure || figure->conditions.empty()) return std::nullopt;
    if (const auto known = made_.find({key, true}); known != made_.end()) return known->second;
    FigureId id = owner_;
    id.key = key;
    id.condition = true;
    const Slot slot = add_parameter(
        *parameters_, id, {.spread = exactly(figure->conditions[0]), .conditions = {}, .place = {}},
        find_key(kind_rule(description_->kind), key)->conditions[0]);
    made_[{key, true}] = slot;
    return slot;
}

Node Adder::new_node() {
    return static_cast<Node>(network_.nodes++);
}

ElementIndex Adder::add(Element element) {
    network_.elements.push_back(element);
    return static_cast<ElementIndex>(network_.elements.size() - 1);
}

ElementIndex Adder::resistance(Node from, Node to, Slot slot) {
    return add(Branch{.from = from, .to = to, .voltage = {}, .resistance = slot});
}

Node Adder::behind(Node from, const Slots& slots, Key key) {
    if (slots.description().find(key)->spread.highest == 0) return from;
    const Node inner = new_node();
    resistance(from, inner, slots(key));
    return inner;
}

Node Adder::before(Node to, const Slots& slots, Key key) {
    if (slots.description().find(key)->spread.highest == 0) return to;
    const Node inner = new_node();
    resistance(inner, to, slots(key));
    return inner;
}

ElementIndex Adder::junction(Node anode, Node cathode, const Slots& slots) {
    const auto forward = slots.find(Key::forward);
    const auto slope = slots.find(Key::forward_slope);
    const Junction<Slot> card{
        .saturation_current = forward ? *forward : slots(Key::saturation_current),
        .ideality = slots(Key::ideality),
        .series_resistance = slots(Key::series_resistance),
        .bandgap = slope ? *slope : slots(Key::bandgap),
        .temperature_exponent = slots(Key::temperature_exponent)};
    return add(JunctionElement{.from = anode,
                               .to = before(cathode, slots, Key::series_resistance),
                               .card = card,
                               .forward_voltage = forward,
                               .forward_current = slots.condition(Key::forward),
                               .slope = slope,
                               .slope_current = slots.condition(Key::forward_slope)});
}

ElementIndex Adder::breakdown(Node cathode, Node anode, const Slots& slots) {
    return add(BreakdownElement{.from = behind(cathode, slots, Key::zener_resistance),
                                .to = anode,
                                .voltage = slots(Key::zener_voltage),
                                .current = slots(Key::zener_current),
                                .resistance = slots(Key::zener_resistance),
                                .ideality = slots(Key::ideality)});
}

void Adder::transistor(Node from, Node to, std::optional<Node> base, bool pnp, const Slots& slots,
                       std::optional<GapIndex> lit_by, PlacedProbes& probes) {
    const Transistor<Slot> card{.transport_current = slots(Key::transport_current),
                                .gain = slots(Key::gain),
                                .reverse_gain = slots(Key::reverse_gain),
                                .early_voltage = slots(Key::early_voltage),
                                .knee_current = slots(Key::knee_current),
                                .leak_current = slots(Key::leak_current),
                                .leak_ideality = slots(Key::leak_ideality),
                                .collector_resistance = slots(Key::collector_resistance),
                                .gain_exponent = slots(Key::gain_exponent)};
    const Node inner_from = pnp ? from : behind(from, slots, Key::collector_resistance);
    const Node inner_to = pnp ? before(to, slots, Key::collector_resistance) : to;
    const Node base_node = base ? *base : new_node();
    const auto second_gain = slots.find(Key::second_gain);
    const Node first_to = second_gain ? new_node() : inner_to;
    const ElementIndex first = add(TransistorElement{.from = inner_from,
                                                     .to = first_to,
                                                     .base = base_node,
                                                     .pnp = pnp,
                                                     .card = card,
                                                     .gain = {}});
    probes.main.current.push_back({.element = first, .main = 1, .base = 0});
    probes.control = Port{.plus = pnp ? from : base_node,
                          .minus = pnp ? base_node : to,
                          .current = {{.element = first, .main = 0, .base = 1}}};
    if (lit_by) {
        // Through the collector's pin besides what the transistor draws, and out of the base's.
        const ElementIndex photocurrent = add(PhotocurrentElement{inner_from, base_node, *lit_by});
        probes.main.current.push_back({.element = photocurrent, .main = 1, .base = 0});
        probes.control->current.push_back({.element = photocurrent, .main = -1, .base = 0});
    }
    if (!second_gain) return;
    const ElementIndex second = add(TransistorElement{.from = inner_from,
                                                      .to = inner_to,
                                                      .base = first_to,
                                                      .pnp = pnp,
                                                      .card = card,
                                                      .gain = second_gain});
    probes.main.current.push_back({.element = second, .main = 1, .base = 0});
}

void Adder::light_resistor(Node from, Node to, const Slots& slots, GapIndex lit_by,
                           PlacedProbes& probes) {
    const ElementIndex element =
        add(LightResistorElement{.from = from,
                                 .to = to,
                                 .card = {.resistance = slots(Key::resistance),
                                          .illuminance = *slots.condition(Key::resistance),
                                          .gamma = slots(Key::gamma),
                                          .dark_resistance = slots(Key::dark_resistance)},
                                 .lit_by = lit_by});
    probes.main.current.push_back({.element = element, .main = 1, .base = 0});
}

std::optional<double> photocurrent_ratio_for(double ctr, double emitter_current,
                                             double collector_emitter_voltage,
                                             const Description& coupler) {
    // The receiver alone across a source of the stated voltage.
    std::vector<Parameter> parameters;
    const Slots slots(parameters, figure_of(0, {}), coupler);
    const Slot voltage =
        add_parameter(parameters, {},
                      {.spread = exactly(collector_emitter_voltage), .conditions = {}, .place = {}},
                      Dimension::voltage);
    Network network;
    Adder adder(network);
    const Node collector = adder.new_node();
    adder.add(
        Branch{.from = Node::side_return, .to = collector, .voltage = voltage, .resistance = {}});
    PlacedProbes probes;
    adder.transistor(collector, Node::side_return, std::nullopt, false, slots,
                     static_cast<GapIndex>(0), probes);
    std::vector<double> values;
    for (const auto& parameter : parameters) values.push_back(parameter.spread.nominal);

    const double wanted = ctr * emitter_current;
    const Conditions conditions{};
    bool settled = true;
    const auto excess = [&](double log_photocurrent) {
        const auto point = operating_point(network, Side::output, values, conditions,
                                           {std::exp(log_photocurrent)});
        settled = settled && point.has_value();
        if (!point) return 0.0;
        return std::log(std::max(point->currents[0], 1e-30) / wanted);
    };
    const double low = std::log(wanted * 1e-9);
    const double high = std::log(wanted);
    const double at_low = excess(low);
    const double at_high = excess(high);
    if (!settled || at_low > 0 || at_high < 0) return std::nullopt;
    std::uintmax_t steps = 200;
    const auto bracket = boost::math::tools::toms748_solve(
        excess, low, high, at_low, at_high, boost::math::tools::eps_tolerance<double>(50), steps);
    if (!settled) return std::nullopt;
    const double photocurrent = std::exp(0.5 * (bracket.first + bracket.second));
    const Transfer<double> transfer{
        .photocurrent_ratio = 1,
        .low_knee = coupler.nominal(Key::low_knee),
        .high_knee = coupler.nominal(Key::high_knee),
        .temperature_coefficient = coupler.nominal(Key::temperature_coefficient),
        .dark_current = coupler.nominal(Key::dark_current)};
    const double ratio = (photocurrent - transfer.dark_current) /
                         (emitter_current * transfer_shape(transfer, emitter_current));
    return ratio > 0 ? std::optional(ratio) : std::nullopt;
}

}  // namespace gapwright::building
