#include "bench/faults/rejoined.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/faults/link_edits.hpp"
#include "bench/meter/bench_circuit.hpp"
#include "board/wiring.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

using edits::Terminal;

// A pin that belongs to a node.
struct Joined {
    std::size_t node = 0;  // of the wiring
    std::size_t group = 0;
    std::optional<edits::Pin> pin;  // of the link; none: a supply's lead
};

// By the names that wiring_of gives pins; a coupler's have their number before them.
Terminal terminal_of(const Description& part, Side side, const std::string& pin) {
    const std::string name = pin.substr(pin.rfind(' ') + 1);
    if (side == Side::output && part.kind == Kind::pair) {
        const ReceiverRule& rule = receiver_rule(receiver_of(part));
        if (name == rule.enters) return Terminal::from;
        if (name == rule.leaves) return Terminal::to;
    }
    const bool mirrored =
        part.choice(Key::polarity, "npn") == "pnp" || part.choice(Key::channel, "n") == "p";
    if (name == "base" || name == "gate") return Terminal::control;
    if (name == "collector" || name == "drain") return mirrored ? Terminal::to : Terminal::from;
    if (name == "emitter" || name == "source") return mirrored ? Terminal::from : Terminal::to;
    if (name == "pin") {
        return part.kind == Kind::logic_output ? Terminal::to : Terminal::from;
    }
    const bool last = name == "cathode" || name == "minus" || name == "return" || name == "2";
    return last ? Terminal::to : Terminal::from;
}

// All that one conductor joins on one side.
struct Meeting {
    Side side = Side::input;
    std::optional<Node> at = {};         // none: a node of its own
    std::vector<edits::Pin> moved = {};  // from nodes that stay elsewhere
    std::vector<Node> left = {};         // those nodes
    std::vector<Node> shorted = {};      // nodes that stay here besides `at`
};

void bring_about(const Meeting& meeting, Link& link) {
    const Node at =
        meeting.at ? *meeting.at : edits::add_node(link, meeting.side, "where pins stray");
    for (const auto& pin : meeting.moved) edits::move_pin(link, pin, at);
    for (const Node node : meeting.shorted) {
        edits::bridge(link, meeting.side, at, node, edits::short_circuit);
    }
    // So that either piece of a node keeps the other's path to the return.
    for (const Node node : meeting.left) {
        edits::bridge(link, meeting.side, at, node, exactly(edits::no_connection));
    }
}

std::vector<Joined> joined_pins_of(const Link& link, const Wiring& wiring,
                                   const PinGroups& groups) {
    std::vector<Joined> pins;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const WiringPart& part = wiring.parts[k];
        const auto in_link = part_of(link, part.name);
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            const auto& node = part.pins[p].node;
            if (!node) continue;
            Joined joined{*node, groups[k][p], {}};
            if (in_link) {
                joined.pin = edits::Pin{*in_link, wiring.nodes[*node].side,
                                        terminal_of(link.parts[*in_link].description,
                                                    wiring.nodes[*node].side, part.pins[p].name)};
            }
            pins.push_back(joined);
        }
    }
    return pins;
}

// By node of the wiring: the group where it stays, which is the supply's or that of most pins.
std::map<std::size_t, std::size_t> homes_of(const std::vector<Joined>& pins) {
    using Piece = std::pair<std::size_t, std::size_t>;  // a group, and the weight of its pins
    std::map<std::size_t, std::vector<Piece>> pieces;
    for (const Joined& pin : pins) {
        auto& of_node = pieces[pin.node];
        auto found = std::ranges::find(of_node, pin.group, &Piece::first);
        if (found == of_node.end()) found = of_node.insert(found, {pin.group, 0});
        found->second += pin.pin ? 1 : pins.size();
    }
    std::map<std::size_t, std::size_t> homes;
    for (const auto& [node, of_node] : pieces) {
        homes[node] = std::ranges::max_element(of_node, {}, &Piece::second)->first;
    }
    return homes;
}

void add_once(auto& list, auto one) {
    if (std::ranges::find(list, one) == list.end()) list.push_back(one);
}

Node in_link(const Wiring& wiring, std::size_t node) {
    std::size_t first = 0;  // the wiring has one side's nodes after the other's
    while (wiring.nodes[first].side != wiring.nodes[node].side) ++first;
    return static_cast<Node>(node - first);
}

Meeting meeting_of(const Wiring& wiring, const std::vector<Joined>& pins,
                   const std::map<std::size_t, std::size_t>& homes, std::size_t group, Side side) {
    Meeting meeting{.side = side};
    for (const Joined& pin : pins) {
        if (pin.group != group || wiring.nodes[pin.node].side != side) continue;
        const Node node = in_link(wiring, pin.node);
        if (homes.at(pin.node) != group) {
            meeting.moved.push_back(*pin.pin);
            add_once(meeting.left, node);
        } else if (!meeting.at) {
            meeting.at = node;
        } else if (*meeting.at != node) {
            add_once(meeting.shorted, node);
        }
    }
    return meeting;
}

}  // namespace

std::optional<std::size_t> part_of(const Link& link, const std::string& name) {
    if (const auto found = link.find_part(name)) return found;
    const std::size_t space = name.rfind(' ');
    if (space == std::string::npos) return std::nullopt;
    const std::string half = name.substr(space + 1);
    if (half != "emitter" && half != "receiver") return std::nullopt;
    return link.find_part(name.substr(0, space));
}

std::vector<std::size_t> in_order(const Wiring& wiring, const PinGroups& groups) {
    std::map<std::size_t, std::size_t> number;
    std::vector<std::size_t> numbers;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        for (std::size_t p = 0; p < wiring.parts[k].pins.size(); ++p) {
            if (!wiring.parts[k].pins[p].node) continue;
            numbers.push_back(number.emplace(groups[k][p], number.size()).first->second);
        }
    }
    return numbers;
}

Rejoined rejoined(const Link& link, const Wiring& wiring, const PinGroups& groups) {
    const auto pins = joined_pins_of(link, wiring, groups);
    const auto homes = homes_of(pins);
    std::vector<std::size_t> in_turn;
    for (const Joined& pin : pins) add_once(in_turn, pin.group);
    std::vector<Meeting> meetings;
    std::optional<SideBridge> bridge;
    std::array<std::size_t, 2> made{};  // nodes, by side
    for (const std::size_t group : in_turn) {
        std::array<std::optional<Node>, 2> here;
        for (const Side side : {Side::input, Side::output}) {
            const Meeting meeting = meeting_of(wiring, pins, homes, group, side);
            if (!meeting.at && meeting.moved.empty()) continue;
            const auto s = static_cast<std::size_t>(side);
            here[s] = meeting.at ? *meeting.at
                                 : static_cast<Node>(link.side(side).node_names.size() + made[s]++);
            if (!meeting.moved.empty() || !meeting.shorted.empty()) {
                meetings.push_back(meeting);
            }
        }
        if (here[0] && here[1] && !bridge) {
            bridge = SideBridge{*here[0], *here[1], edits::short_circuit};
        }
    }
    Rejoined result{.edit = {}, .bridge = bridge};
    if (meetings.empty()) return result;
    result.edit = [meetings = std::move(meetings)](Link& edited) {
        for (const Meeting& meeting : meetings) bring_about(meeting, edited);
    };
    return result;
}

}  // namespace gapwright
