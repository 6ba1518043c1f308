#include "build/wiring_of_link.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include "board/board.hpp"
#include "board/wiring.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"

namespace gapwright {
namespace {

constexpr double polarised_from = 1e-6;  // F; larger ones are electrolytic, common practice

class Builder {
  public:
    explicit Builder(const Link& link) : link_(link) {}

    Wiring run() {
        for (const Side side : {Side::input, Side::output}) add_nodes(side);
        for (const Part& part : link_.parts) add(part);
        for (const Side side : {Side::input, Side::output}) add_supply(side);
        return std::move(wiring_);
    }

  private:
    void add_nodes(Side side) {
        const LinkSide& nodes = link_.side(side);
        first_node_[index(side)] = wiring_.nodes.size();
        const auto supply = nodes.find_node("supply");
        for (std::size_t k = 0; k < nodes.node_names.size(); ++k) {
            const auto node = static_cast<Node>(k);
            const Rail rail = node == Node::side_return   ? Rail::returns
                              : supply && node == *supply ? Rail::supply
                                                          : Rail::none;
            wiring_.nodes.push_back({side, nodes.node_names[k], rail});
        }
    }

    static std::size_t index(Side side) { return side == Side::input ? 0 : 1; }

    std::size_t node(Side side, Node node) const {
        return first_node_[index(side)] + to_index(node);
    }

    WiringPart& add_part(std::string name, Side side, const Footprint& footprint) {
        wiring_.parts.push_back(
            {.name = std::move(name), .side = side, .footprint = footprint, .pins = {}});
        return wiring_.parts.back();
    }

    void add(const Part& part) {
        const Footprint footprint = footprint_of(part.description);
        if (part.is_gap()) {
            if (part.input && part.output) add_gap(part, footprint);
            return;
        }
        const Side side = part.input ? Side::input : Side::output;
        const auto& placement = part.on(side);
        if (!placement) return;
        const std::size_t from = node(side, placement->from);
        const std::size_t to = node(side, placement->to);
        WiringPart& added = add_part(part.name, side, footprint);
        const Description& described = part.description;
        switch (described.kind) {
            case Kind::diode:
            case Kind::zener:
            case Kind::led:
                added.pins = {{"anode", from}, {"cathode", to}};
                break;
            case Kind::capacitor:
                if (described.nominal(Key::value) >= polarised_from) {
                    added.pins = {{"plus", from}, {"minus", to}};
                    break;
                }
                added.pins = {{"1", from}, {"2", to}};
                break;
            case Kind::transistor:
            case Kind::mosfet:
                add_control_pins(added, part, *placement);
                break;
            case Kind::logic_output:
                added.pins = {{"pin", to}};
                break;
            case Kind::logic_input:
                added.pins = {{"pin", from}};
                // Its return comes with its side's supply, unless the path leads elsewhere.
                if (placement->to != Node::side_return) added.pins.push_back({"return", to});
                break;
            case Kind::resistor:
            case Kind::inductor:
            case Kind::contact:
            case Kind::coil:
            case Kind::load:
                added.pins = {{"1", from}, {"2", to}};
                break;
            case Kind::coupler:
            case Kind::pair:
            case Kind::phototransistor:
            case Kind::light_dependent_resistor:
            case Kind::battery:  // gaps, and what stands in no path
                break;
        }
    }

    // The node of a base or gate; none where no path names it.
    std::optional<std::size_t> control_of(const Placement& placement) const {
        if (!placement.control) return std::nullopt;
        return node(placement.side, *placement.control);
    }

    // In the order in which the card says that they stand, else as is most usual (common practice).
    void add_control_pins(WiringPart& added, const Part& part, const Placement& placement) const {
        const Description& described = part.description;
        const std::size_t from = node(added.side, placement.from);
        const std::size_t to = node(added.side, placement.to);
        const std::optional<std::size_t> control = control_of(placement);
        const bool mosfet = described.kind == Kind::mosfet;
        const bool first_is_source = mosfet ? described.choice(Key::channel, "n") == "p"
                                            : described.choice(Key::polarity, "npn") == "pnp";
        const std::size_t collector = first_is_source ? to : from;
        const std::size_t emitter = first_is_source ? from : to;
        for (const char c : described.choice(Key::pins, mosfet ? "gds" : "ebc")) {
            switch (c) {
                case 'e':
                    added.pins.push_back({"emitter", emitter});
                    break;
                case 's':
                    added.pins.push_back({"source", emitter});
                    break;
                case 'c':
                    added.pins.push_back({"collector", collector});
                    break;
                case 'd':
                    added.pins.push_back({"drain", collector});
                    break;
                default:
                    added.pins.push_back({mosfet ? "gate" : "base", control});
                    break;
            }
        }
    }

    void add_gap(const Part& part, const Footprint& footprint) {
        const std::size_t anode = node(Side::input, part.input->from);
        const std::size_t cathode = node(Side::input, part.input->to);
        const std::size_t collector = node(Side::output, part.output->from);
        const std::size_t emitter = node(Side::output, part.output->to);
        const std::optional<std::size_t> base = control_of(*part.output);
        if (part.description.kind == Kind::coupler) {
            WiringPart& added = add_part(part.name, Side::input, footprint);
            if (part.description.has_six_pins()) {
                added.pins = {{"1 anode", anode},     {"2 cathode", cathode},     {"3 unused", {}},
                              {"4 emitter", emitter}, {"5 collector", collector}, {"6 base", base}};
            } else {
                added.pins = {{"1 anode", anode},
                              {"2 cathode", cathode},
                              {"3 emitter", emitter},
                              {"4 collector", collector}};
            }
            return;
        }
        add_part(part.name + " emitter", Side::input, footprint).pins = {{"anode", anode},
                                                                         {"cathode", cathode}};
        WiringPart& receiver = add_part(part.name + " receiver", Side::output, footprint);
        const bool resistor = part.description.receiver &&
                              part.description.receiver->kind == Kind::light_dependent_resistor;
        receiver.pins = {{resistor ? "1" : "collector", collector},
                         {resistor ? "2" : "emitter", emitter}};
        if (base) receiver.pins.push_back({"base", base});
    }

    // A supply's two leads; plus only where anything else on the board is joined to it.
    void add_supply(Side side) {
        WiringPart supply{.name = std::string(side_name(side)) + " supply",
                          .side = side,
                          .footprint = {.body = Body::leads},
                          .pins = {}};
        for (const Rail rail : {Rail::supply, Rail::returns}) {
            const auto found = std::ranges::find_if(wiring_.nodes, [&](const WiringNode& n) {
                return n.side == side && n.rail == rail;
            });
            const auto at = static_cast<std::size_t>(found - wiring_.nodes.begin());
            if (found == wiring_.nodes.end() || !is_used(at)) continue;
            supply.pins.push_back({rail == Rail::supply ? "+" : "-", at});
        }
        if (!supply.pins.empty()) wiring_.parts.push_back(std::move(supply));
    }

    bool is_used(std::size_t node) const {
        return std::ranges::any_of(wiring_.parts, [&](const WiringPart& part) {
            return std::ranges::any_of(part.pins,
                                       [&](const WiringPin& pin) { return pin.node == node; });
        });
    }

    const Link& link_;
    Wiring wiring_;
    std::array<std::size_t, 2> first_node_{};
};

}  // namespace

Wiring wiring_of(const Link& link) {
    return Builder(link).run();
}

}  // namespace gapwright
