#include "reference/second_bench/verdict_match.hpp"

#include <algorithm>
#include <cmath>

namespace gapwright::reference {
namespace {

using What = Claim::What;
using K = FaultKind;

bool among(FaultKind kind, std::initializer_list<FaultKind> kinds) {
    return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
}

Board sound_board(const Link& link) {
    Dice dice(1);
    return drawn_board(link, dice);
}

bool opens(FaultKind kind) {
    return among(kind,
                 {K::open_joint, K::intermittent_joint, K::gate_floating, K::resistor_open,
                  K::diode_missing, K::led_open, K::zener_open, K::emitter_open, K::receiver_open,
                  K::transistor_open, K::contact_stuck_open, K::output_lead_off, K::load_open});
}

bool shorts(FaultKind kind) {
    return among(kind,
                 {K::bridged_pins, K::bridged_nodes, K::diode_shorted, K::led_shorted,
                  K::zener_shorted, K::emitter_shorted, K::receiver_shorted, K::transistor_shorted,
                  K::mosfet_shorted, K::contact_stuck_closed, K::load_shorted, K::gate_leaks});
}

bool is_series(FaultKind kind) {
    return among(kind, {K::resistive_joint, K::intermittent_joint, K::contact_dirty});
}

template <class Item>
bool meet(const std::vector<Item>& a, const std::vector<Item>& b) {
    return std::any_of(a.begin(), a.end(), [&](const Item& item) {
        return std::find(b.begin(), b.end(), item) != b.end();
    });
}

}  // namespace

Naming::Naming(const Link& link) : link_(link), board_(sound_board(link)) {}

Match Naming::names(const std::string& text, const SecondFault& fault) const {
    const auto claims = claims_of(text);
    Match best = Match::none;
    for (const auto& claim : claims) best = std::max(best, claim_names(claim, fault));
    // Who sends one to mend two parts has found the place, not what is wrong.
    return claims.size() > 1 && best == Match::whole ? Match::place : best;
}

bool Naming::understands(const std::string& text) {
    const auto claims = claims_of(text);
    return std::all_of(claims.begin(), claims.end(),
                       [](const Claim& claim) { return claim.what != What::unknown; });
}

Match Naming::claim_names(const Claim& claim, const SecondFault& fault) const {
    if (same_wire(claim, fault) || same_metal(claim, fault) || same_series(claim, fault) ||
        same_nature(claim, fault)) {
        return Match::whole;
    }
    return same_part(claim, fault) ? Match::place : Match::none;
}

Naming::Pins Naming::pins_at(std::size_t node) const {
    Pins pins;
    for (std::size_t p = 0; p < board_.parts.size(); ++p) {
        for (std::size_t h = 0; h < board_.parts[p].holes.size(); ++h) {
            if (board_.parts[p].holes[h].node == node) pins.push_back({p, h});
        }
    }
    return pins;
}

Naming::Pins Naming::with_partners(const Pins& pins) const {
    Pins all = pins;
    for (const Pin& pin : pins) {
        const auto here = pins_at(board_.parts[pin.part].holes[pin.hole].node);
        if (here.size() == 2) all.insert(all.end(), here.begin(), here.end());
    }
    return all;
}

std::vector<std::size_t> Naming::parts_of(const Claim& claim) const {
    std::vector<std::size_t> all;
    for (std::size_t p = 0; p < board_.parts.size(); ++p) {
        const BuiltPart& part = board_.parts[p];
        if (part.name != claim.part) continue;
        if (claim.half == "emitter" && part.side != Side::input) continue;
        if (claim.half == "receiver" && part.side != Side::output) continue;
        all.push_back(p);
    }
    return all;
}

Naming::Pins Naming::pins_of(const Claim& claim) const {
    Pins pins;
    for (const std::size_t p : parts_of(claim)) {
        const auto& holes = board_.parts[p].holes;
        for (std::size_t h = 0; h < holes.size(); ++h) {
            if (claim.lead.empty() || holes[h].lead == claim.lead) pins.push_back({p, h});
        }
    }
    return pins;
}

Naming::Pins Naming::pins_of(const SecondFault& fault) const {
    Pins pins;
    if (!fault.on_board) return pins;
    const auto& holes = board_.parts[*fault.on_board].holes;
    for (std::size_t h = 0; h < holes.size(); ++h) {
        if (!fault.hole || *fault.hole == h) pins.push_back({*fault.on_board, h});
    }
    return pins;
}

std::vector<Naming::Pair> Naming::metal_of(const Claim& claim) const {
    std::vector<Pair> pairs;
    if (claim.what == What::joined) {
        for (const Side side : {Side::input, Side::output}) {
            std::vector<std::size_t> nodes;
            for (std::size_t n = 0; n < link_.side(side).node_names.size(); ++n) {
                const std::string word = node_word(link_, side, static_cast<Node>(n));
                if (word == claim.others[0] || word == claim.others[1]) {
                    nodes.push_back(board_.node(side, static_cast<Node>(n)));
                }
            }
            if (nodes.size() == 2) pairs.emplace_back(std::minmax(nodes[0], nodes[1]));
        }
        return pairs;
    }
    for (const std::size_t p : parts_of(claim)) {
        const auto& holes = board_.parts[p].holes;
        const bool stuck = claim.what == What::stays;
        if (stuck && (claim.word == "low" || claim.word == "high")) {
            const Side side = board_.parts[p].side;
            const std::size_t rail =
                claim.word == "low" ? board_.side_return(side) : board_.node(side, supply_node);
            pairs.emplace_back(std::minmax(holes[0].node, rail));
            continue;
        }
        if (stuck && claim.word == "open") continue;
        const auto node_of = [&](std::size_t k) {
            if (claim.others.size() < 2) return holes[std::min(k, holes.size() - 1)].node;
            const auto found = std::find_if(holes.begin(), holes.end(), [&](const Hole& hole) {
                return hole.lead == claim.others[k];
            });
            return found == holes.end() ? holes[0].node : found->node;
        };
        pairs.emplace_back(std::minmax(node_of(0), node_of(1)));
    }
    return pairs;
}

std::vector<Naming::Pair> Naming::metal_of(const SecondFault& fault) const {
    if (fault.nodes.size() == 2) return {std::minmax(fault.nodes[0], fault.nodes[1])};
    if (!fault.on_board) return {};
    const auto& holes = board_.parts[*fault.on_board].holes;
    if (fault.kind == K::gate_leaks) return {std::minmax(holes[1].node, holes[2].node)};
    if (holes.size() < 2) return {};
    return {std::minmax(holes[0].node, holes[1].node)};
}

bool Naming::same_place(const Claim& claim, const SecondFault& fault) const {
    const Pins claimed = pins_of(claim);
    return meet(claimed, fault.hole ? with_partners(pins_of(fault)) : pins_of(fault));
}

bool Naming::same_wire(const Claim& claim, const SecondFault& fault) const {
    if (!opens(fault.kind)) return false;
    const bool stays_open = claim.what == What::stays && claim.word == "open";
    const bool gone = claim.what == What::supply && claim.word == "missing";
    const bool doubtful = claim.what == What::joint && fault.kind == K::intermittent_joint;
    if (claim.what != What::open && !stays_open && !gone && !doubtful) return false;
    // A supply is missing where its lead is off; of a dead transistor any lead will do.
    return same_place(claim, fault);
}

bool Naming::same_metal(const Claim& claim, const SecondFault& fault) const {
    if (!shorts(fault.kind)) return false;
    const bool closed = claim.what == What::stays && claim.word != "open";
    if (claim.what != What::shorted && claim.what != What::joined && !closed) return false;
    return meet(metal_of(claim), metal_of(fault));
}

bool Naming::same_series(const Claim& claim, const SecondFault& fault) const {
    if (!is_series(fault.kind)) return false;
    const bool joint = claim.what == What::joint;
    const bool tired = claim.what == What::supply && claim.word == "weak";
    if (!joint && !tired && claim.what != What::value) return false;
    if (!same_place(claim, fault)) return false;
    if (!claim.amount || fault.kind == K::intermittent_joint) return true;
    // A figure has to be about right: of a joint itself, of a part with the joint in series.
    double told = *claim.amount;
    if (claim.what == What::value) {
        for (const std::size_t p : parts_of(claim)) {
            const MadePart& device = board_.parts[p].device;
            told -= device.figure(device.kind == "resistor" ? "value" : "resistance");
        }
    }
    // A joint is soldered anew whatever it measures; a value is looked for in a drawer.
    const double factor = claim.what == What::value ? 2 : 5;
    return told > fault.amount / factor && told < fault.amount * factor;
}

bool Naming::same_part(const Claim& claim, const SecondFault& fault) const {
    const auto claimed = [&](const std::string& name) {
        return name == claim.part ||
               std::any_of(claim.others.begin(), claim.others.end(),
                           [&](const std::string& other) { return other == name; });
    };
    if (std::any_of(fault.parts.begin(), fault.parts.end(), claimed)) return true;
    // A bridge is at every part that has a pin on either of its nodes and on the other.
    if (fault.nodes.size() == 2) {
        for (const std::size_t p : parts_of(claim)) {
            std::size_t touched = 0;
            for (const auto& hole : board_.parts[p].holes) {
                touched += hole.node == fault.nodes[0] || hole.node == fault.nodes[1];
            }
            if (touched == 2) return true;
        }
    }
    return meet(with_partners(pins_of(claim)), pins_of(fault));
}

}  // namespace gapwright::reference
