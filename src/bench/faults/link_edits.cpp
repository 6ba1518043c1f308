#include "bench/faults/link_edits.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>
#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright::edits {

Placement& placement(Link& link, std::size_t part, Side side) {
    Part& p = link.parts[part];
    return side == Side::input ? *p.input : *p.output;
}

namespace {

// The node of a terminal, to be changed where the placement may be.
template <class AnyPlacement>
auto& node_of_terminal(AnyPlacement& p, Terminal terminal) {
    switch (terminal) {
        case Terminal::from:
            return p.from;
        case Terminal::to:
            return p.to;
        case Terminal::control:
            break;
    }
    return *p.control;
}

}  // namespace

Node& node_at(Link& link, const Pin& pin) {
    return node_of_terminal(placement(link, pin.part, pin.side), pin.terminal);
}

Node node_of(const Link& link, const Pin& pin) {
    return node_of_terminal(*link.parts[pin.part].on(pin.side), pin.terminal);
}

namespace {

bool conducts(Kind kind) {
    switch (kind) {
        case Kind::resistor:
        case Kind::inductor:
        case Kind::coil:
        case Kind::load:
        case Kind::logic_output:
            return true;
        case Kind::contact:
        case Kind::logic_input:
        case Kind::capacitor:
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::coupler:
        case Kind::pair:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return false;
}

}  // namespace

bool is_held(const Link& link, Side side, Node node, std::size_t without) {
    std::vector<Node> reached = {node};
    for (std::size_t at = 0; at < reached.size(); ++at) {
        const Node here = reached[at];
        if (here == Node::side_return || (here == supply_node && link.side(side).supply))
            return true;
        for (std::size_t k = 0; k < link.parts.size(); ++k) {
            const auto& p = link.parts[k].on(side);
            const Kind kind = link.parts[k].description.kind;
            if (!p || k == without || !conducts(kind)) continue;
            if (p->from != here && p->to != here) continue;
            if (kind == Kind::logic_output) return true;
            const Node other = p->from == here ? p->to : p->from;
            if (std::ranges::find(reached, other) == reached.end()) reached.push_back(other);
        }
    }
    return false;
}

Node add_node(Link& link, Side side, std::string name) {
    LinkSide& s = link.side(side);
    s.node_names.push_back(std::move(name));
    s.node_is_named.push_back(false);
    return static_cast<Node>(s.node_names.size() - 1);
}

std::string bridge_name(std::size_t parts) {
    return "bridge " + std::to_string(parts);
}

void bridge(Link& link, Side side, Node a, Node b, const Spread& resistance) {
    if (a == b) return;
    Part part;
    part.name = bridge_name(link.parts.size());
    part.description.kind = Kind::resistor;
    set_figure(part.description, Key::value, resistance);
    part.description.figures.at(Key::value).assumed = true;  // decades: none likelier than another
    (side == Side::input ? part.input : part.output) =
        Placement{.side = side, .from = a, .to = b, .control = {}, .path = 0, .place = {}};
    link.parts.push_back(std::move(part));
}

void put_in_series(Link& link, const Pin& pin, const Spread& resistance) {
    const Node outer = node_at(link, pin);
    const Node inner = add_node(link, pin.side, "at a pin");
    node_at(link, pin) = inner;
    bridge(link, pin.side, outer, inner, resistance);
}

void put_behind_supply(Link& link, Side side, const Spread& resistance) {
    Description& supply = *link.side(side).supply;
    const Figure* own = supply.find(Key::resistance);
    const Spread before = own ? own->spread : exactly(0);
    set_figure(supply, Key::resistance,
               {before.nominal + resistance.nominal, before.lowest + resistance.lowest,
                before.highest + resistance.highest});
}

namespace {

constexpr const char* body_of = "body of ";  // no name of a file's part has a blank

std::string body_name(const Part& mosfet) {
    return body_of + mosfet.name;
}

Placement body_placement(const Part& mosfet) {
    const Placement& p = mosfet.input ? *mosfet.input : *mosfet.output;
    // From source to drain, whichever channel: against normal conduction.
    return {.side = p.side, .from = p.to, .to = p.from, .control = {}, .path = 0, .place = {}};
}

}  // namespace

void add_body_diode(Link& link, std::size_t mosfet) {
    const auto card = shipped_description("rectifier-diode");
    Part body;
    body.name = body_name(link.parts[mosfet]);
    body.description = *card;
    const Placement p = body_placement(link.parts[mosfet]);
    (p.side == Side::input ? body.input : body.output) = p;
    link.parts.push_back(std::move(body));
}

void follow_body(Link& link, std::size_t mosfet) {
    const auto body = std::ranges::find(link.parts, body_name(link.parts[mosfet]), &Part::name);
    if (body == link.parts.end()) return;
    const Placement p = body_placement(link.parts[mosfet]);
    (p.side == Side::input ? body->input : body->output) = p;
}

bool is_body_diode(const Part& part) {
    return part.name.starts_with(body_of);
}

std::shared_ptr<const Description> shipped_description(const std::string& card) {
    CardShelf shelf({});
    Problems problems;
    auto found = shelf.find(card, {}, problems);
    if (!found) throw std::logic_error("no shipped card " + card);
    return found;
}

void move_pin(Link& link, const Pin& pin, Node to) {
    node_at(link, pin) = to;
}

void exchange_pins(Link& link, const Pin& a, const Pin& b) {
    std::swap(node_at(link, a), node_at(link, b));
}

Description& description(Link& link, std::size_t part, FigureId::Of of) {
    Description& whole = link.parts[part].description;
    if (of == FigureId::Of::part) return whole;
    // A pair's halves are shared with its card: a copy of its own before it is changed.
    auto& held = of == FigureId::Of::emitter ? whole.emitter : whole.receiver;
    auto copy = std::make_shared<Description>(*held);
    Description& own = *copy;
    held = std::move(copy);
    return own;
}

void set_figure(Description& of, Key key, const Spread& spread) {
    Figure& figure = of.figures[key];
    figure.spread = spread;
    figure.normal = false;
}

Spread times(double nominal, double lowest, double highest) {
    return {nominal * std::sqrt(lowest * highest), nominal * lowest, nominal * highest};
}

}  // namespace gapwright::edits
