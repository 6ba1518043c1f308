#include "build/wiring_of_link.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string>
#include <utility>
#include <vector>
#include "board/board.hpp"
#include "board/wiring.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"

namespace gapwright {
namespace {

constexpr double polarised_from = 1e-6;  // F; larger ones are electrolytic, common practice

// The nodes of both sides in one list, the output's after the input's.
struct Nodes {
    std::vector<WiringNode> list = {};
    std::array<std::size_t, 2> first = {};  // of each side

    std::size_t at(Side side, Node node) const {
        return first[static_cast<std::size_t>(side)] + to_index(node);
    }
    // The node of a base or gate; none where no path names it.
    std::optional<std::size_t> control_of(const Placement& placement) const {
        if (!placement.control) return std::nullopt;
        return at(placement.side, *placement.control);
    }
};

Nodes nodes_of(const Link& link) {
    Nodes nodes;
    for (const Side side : {Side::input, Side::output}) {
        const LinkSide& own = link.side(side);
        nodes.first[static_cast<std::size_t>(side)] = nodes.list.size();
        const auto supply = own.find_node("supply");
        for (std::size_t k = 0; k < own.node_names.size(); ++k) {
            const auto node = static_cast<Node>(k);
            const Rail rail = node == Node::side_return   ? Rail::returns
                              : supply && node == *supply ? Rail::supply
                                                          : Rail::none;
            nodes.list.push_back({side, own.node_names[k], rail});
        }
    }
    return nodes;
}

// In the order in which the card says that they stand, else as is most usual (common practice).
std::vector<WiringPin> control_pins(const Nodes& nodes, const Part& part,
                                    const Placement& placement) {
    const Description& described = part.description;
    const std::size_t from = nodes.at(placement.side, placement.from);
    const std::size_t to = nodes.at(placement.side, placement.to);
    const std::optional<std::size_t> control = nodes.control_of(placement);
    const bool mosfet = described.kind == Kind::mosfet;
    const bool first_is_source = mosfet ? described.choice(Key::channel, "n") == "p"
                                        : described.choice(Key::polarity, "npn") == "pnp";
    const std::size_t collector = first_is_source ? to : from;
    const std::size_t emitter = first_is_source ? from : to;
    std::vector<WiringPin> pins;
    for (const char c : described.choice(Key::pins, mosfet ? "gds" : "ebc")) {
        switch (c) {
            case 'e':
                pins.push_back({"emitter", emitter});
                break;
            case 's':
                pins.push_back({"source", emitter});
                break;
            case 'c':
                pins.push_back({"collector", collector});
                break;
            case 'd':
                pins.push_back({"drain", collector});
                break;
            default:
                pins.push_back({mosfet ? "gate" : "base", control});
                break;
        }
    }
    return pins;
}

std::vector<WiringPin> pins_of(const Nodes& nodes, const Part& part, const Placement& placement) {
    const std::size_t from = nodes.at(placement.side, placement.from);
    const std::size_t to = nodes.at(placement.side, placement.to);
    const Description& described = part.description;
    switch (described.kind) {
        case Kind::diode:
        case Kind::zener:
        case Kind::led:
            return {{"anode", from}, {"cathode", to}};
        case Kind::capacitor:
            if (described.nominal(Key::value) >= polarised_from) {
                return {{"plus", from}, {"minus", to}};
            }
            return {{"1", from}, {"2", to}};
        case Kind::transistor:
        case Kind::mosfet:
            return control_pins(nodes, part, placement);
        case Kind::logic_output:
            return {{"pin", to}};
        case Kind::logic_input:
            // Its return comes with its side's supply, unless the path leads elsewhere.
            if (placement.to == Node::side_return) return {{"pin", from}};
            return {{"pin", from}, {"return", to}};
        case Kind::resistor:
        case Kind::inductor:
        case Kind::contact:
        case Kind::coil:
        case Kind::load:
            return {{"1", from}, {"2", to}};
        case Kind::coupler:
        case Kind::pair:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:  // gaps, and what stands in no path
            return {};
    }
    return {};
}

// A coupler is one part on the board; of a pair each half is one beside it.
std::vector<WiringPart> parts_of_gap(const Nodes& nodes, const Part& part) {
    const Footprint footprint = footprint_of(part.description);
    const std::size_t anode = nodes.at(Side::input, part.input->from);
    const std::size_t cathode = nodes.at(Side::input, part.input->to);
    const std::size_t collector = nodes.at(Side::output, part.output->from);
    const std::size_t emitter = nodes.at(Side::output, part.output->to);
    const std::optional<std::size_t> base = nodes.control_of(*part.output);
    if (part.description.kind == Kind::coupler) {
        std::vector<WiringPin> pins = {{"1 anode", anode},
                                       {"2 cathode", cathode},
                                       {"3 emitter", emitter},
                                       {"4 collector", collector}};
        if (part.description.has_six_pins()) {
            pins = {{"1 anode", anode},     {"2 cathode", cathode},     {"3 unused", {}},
                    {"4 emitter", emitter}, {"5 collector", collector}, {"6 base", base}};
        }
        return {{part.name, Side::input, footprint, std::move(pins)}};
    }
    const ReceiverRule& rule = receiver_rule(receiver_of(part.description));
    std::vector<WiringPin> receiver = {{std::string(rule.enters), collector},
                                       {std::string(rule.leaves), emitter}};
    if (base) receiver.push_back({"base", base});
    return {
        {part.name + " emitter", Side::input, footprint, {{"anode", anode}, {"cathode", cathode}}},
        {part.name + " receiver", Side::output, footprint, std::move(receiver)}};
}

std::vector<WiringPart> parts_of(const Nodes& nodes, const Part& part) {
    if (part.is_gap()) {
        if (!part.input || !part.output) return {};
        return parts_of_gap(nodes, part);
    }
    const Side side = part.input ? Side::input : Side::output;
    const auto& placement = part.on(side);
    if (!placement) return {};
    return {{part.name, side, footprint_of(part.description), pins_of(nodes, part, *placement)}};
}

// The node of a rail where anything on the board is joined to it.
std::optional<std::size_t> used_rail(const Wiring& wiring, Side side, Rail rail) {
    const auto found = std::ranges::find_if(
        wiring.nodes, [&](const WiringNode& n) { return n.side == side && n.rail == rail; });
    if (found == wiring.nodes.end()) return std::nullopt;
    const auto node = static_cast<std::size_t>(found - wiring.nodes.begin());
    const bool used = std::ranges::any_of(wiring.parts, [&](const WiringPart& part) {
        return std::ranges::find(part.pins, node, &WiringPin::node) != part.pins.end();
    });
    return used ? std::optional(node) : std::nullopt;
}

// A supply's two leads; plus only where anything else on the board is joined to it.
std::vector<WiringPin> supply_leads(const Wiring& wiring, Side side) {
    std::vector<WiringPin> leads;
    for (const Rail rail : {Rail::supply, Rail::returns}) {
        const auto node = used_rail(wiring, side, rail);
        if (node) leads.push_back({rail == Rail::supply ? "+" : "-", node});
    }
    return leads;
}

}  // namespace

Wiring wiring_of(const Link& link) {
    const Nodes nodes = nodes_of(link);
    Wiring wiring{.nodes = nodes.list, .parts = {}};
    for (const Part& part : link.parts) {
        std::ranges::move(parts_of(nodes, part), std::back_inserter(wiring.parts));
    }
    for (const Side side : {Side::input, Side::output}) {
        auto leads = supply_leads(wiring, side);
        if (leads.empty()) continue;
        wiring.parts.push_back({.name = std::string(side_name(side)) + " supply",
                                .side = side,
                                .footprint = {.body = Body::leads},
                                .pins = std::move(leads)});
    }
    return wiring;
}

}  // namespace gapwright
