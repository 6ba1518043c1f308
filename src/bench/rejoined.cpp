#include "bench/rejoined.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/bench_circuit.hpp"
#include "bench/link_edits.hpp"
#include "board/wiring.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
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
Terminal terminal_of(const Description& part, const std::string& pin) {
    const std::string name = pin.substr(pin.rfind(' ') + 1);
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
        edits::bridge(link, meeting.side, at, node, exactly(edits::short_circuit));
    }
    // So that either piece of a node keeps the other's path to the return.
    for (const Node node : meeting.left) {
        edits::bridge(link, meeting.side, at, node, exactly(edits::no_connection));
    }
}

class Rejoining {
  public:
    Rejoining(const Link& link, const Wiring& wiring, const PinGroups& groups)
        : link_(link), wiring_(wiring) {
        for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
            const WiringPart& part = wiring.parts[k];
            const auto in_link = part_of(link, part.name);
            for (std::size_t p = 0; p < part.pins.size(); ++p) {
                const auto& node = part.pins[p].node;
                if (!node) continue;
                Joined joined{*node, groups[k][p], {}};
                if (in_link) {
                    joined.pin = edits::Pin{
                        *in_link, wiring.nodes[*node].side,
                        terminal_of(link.parts[*in_link].description, part.pins[p].name)};
                }
                pins_.push_back(joined);
            }
        }
        find_homes();
    }

    Rejoined run() {
        std::vector<Meeting> meetings;
        std::optional<SideBridge> bridge;
        std::array<std::size_t, 2> made{};  // nodes, by side
        for (const std::size_t group : groups_in_order()) {
            std::array<std::optional<Node>, 2> here;
            for (const Side side : {Side::input, Side::output}) {
                const Meeting meeting = meeting_of(group, side);
                if (!meeting.at && meeting.moved.empty()) continue;
                const auto s = static_cast<std::size_t>(side);
                here[s] = meeting.at
                              ? *meeting.at
                              : static_cast<Node>(link_.side(side).node_names.size() + made[s]++);
                if (!meeting.moved.empty() || !meeting.shorted.empty()) {
                    meetings.push_back(meeting);
                }
            }
            if (here[0] && here[1] && !bridge) {
                bridge = SideBridge{*here[0], *here[1], exactly(edits::short_circuit)};
            }
        }
        Rejoined result{.edit = {}, .bridge = bridge};
        if (meetings.empty()) return result;
        result.edit = [meetings = std::move(meetings)](Link& link) {
            for (const Meeting& meeting : meetings) bring_about(meeting, link);
        };
        return result;
    }

  private:
    void find_homes() {
        std::map<std::size_t, std::vector<std::pair<std::size_t, std::size_t>>> pieces;  // by node
        for (const Joined& pin : pins_) {
            auto& of_node = pieces[pin.node];
            auto found =
                std::ranges::find(of_node, pin.group, &std::pair<std::size_t, std::size_t>::first);
            if (found == of_node.end()) found = of_node.insert(found, {pin.group, 0});
            found->second += pin.pin ? 1 : pins_.size();
        }
        for (const auto& [node, of_node] : pieces) {
            home_[node] =
                std::ranges::max_element(of_node, {}, &std::pair<std::size_t, std::size_t>::second)
                    ->first;
        }
    }

    std::vector<std::size_t> groups_in_order() const {
        std::vector<std::size_t> groups;
        for (const Joined& pin : pins_) {
            if (std::ranges::find(groups, pin.group) == groups.end()) groups.push_back(pin.group);
        }
        return groups;
    }

    Node in_link(std::size_t node) const {
        std::size_t first = 0;  // the wiring has one side's nodes after the other's
        while (wiring_.nodes[first].side != wiring_.nodes[node].side) ++first;
        return static_cast<Node>(node - first);
    }

    static void add_once(std::vector<Node>& nodes, Node node) {
        if (std::ranges::find(nodes, node) == nodes.end()) nodes.push_back(node);
    }

    Meeting meeting_of(std::size_t group, Side side) const {
        Meeting meeting{.side = side};
        for (const Joined& pin : pins_) {
            if (pin.group != group || wiring_.nodes[pin.node].side != side) continue;
            const Node node = in_link(pin.node);
            if (home_.at(pin.node) != group) {
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

    const Link& link_;
    const Wiring& wiring_;
    std::vector<Joined> pins_;
    std::map<std::size_t, std::size_t> home_;  // by node of the wiring: the group where it stays
};

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
    return Rejoining(link, wiring, groups).run();
}

}  // namespace gapwright
