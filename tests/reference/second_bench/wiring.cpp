#include "reference/second_bench/wiring.hpp"

#include <algorithm>

#include "reference/second_bench/wiring_maker.hpp"

namespace gapwright::reference {
namespace {

// What a board, air and a coupler's case let through (common practice: teraohms).
constexpr double stray_siemens = 1e-12;
constexpr double clip_ohms = 0.01;

}  // namespace

Wired WiringMaker::made() {
    Network& net = result_.network;
    net.nodes = board_.nodes;
    result_.path_of.resize(board_.parts.size());
    for (std::size_t p = 0; p < board_.parts.size(); ++p) add(p);
    for (const Beam& beam : board_.beams) add_light(beam);
    if (wiring_.lifted && !result_.lifted_lead) result_.lifted_lead = net.add_node();
    for (const Bridge& bridge : board_.bridges) {
        net.join(bridge.a, bridge.b, std::max(bridge.ohms, 1e-3));
    }
    for (const Side side : {Side::input, Side::output}) {
        if (side == Side::input ? wiring_.all_input : wiring_.all_output) clip(side);
    }
    // Between the sides, and from each node to its side's return.
    net.add(PlainPath{board_.input_nodes, 0, stray_siemens, 0});
    for (std::size_t n = 1; n < board_.nodes; ++n) {
        net.add(PlainPath{n, board_.side_return(board_.side_of(n)), stray_siemens, 0});
    }
    for (std::size_t n = board_.nodes; n < net.nodes; ++n) {
        net.add(PlainPath{n, 0, stray_siemens / 10, 0});
    }
    return std::move(result_);
}

void WiringMaker::clip(Side side) {
    const std::size_t centre = board_.side_return(side);
    for (std::size_t n = 0; n < board_.nodes; ++n) {
        if (n != centre && board_.side_of(n) == side) {
            result_.network.join(n, centre, clip_ohms);
        }
    }
}

std::size_t WiringMaker::terminal(std::size_t p, std::size_t index) {
    const auto [found, fresh] = terminals_.try_emplace({p, index}, 0);
    if (fresh) found->second = made_terminal(p, index);
    return found->second;
}

std::size_t WiringMaker::made_terminal(std::size_t p, std::size_t index) {
    const BuiltPart& part = board_.parts[p];
    const std::size_t which = part.terminals[index];
    const Hole& hole = part.holes[which];
    Network& net = result_.network;
    if (wiring_.lifted == p && which == 0) {
        const std::size_t lead = net.add_node();
        result_.lifted_lead = lead;
        return lead;
    }
    std::size_t at = hole.node;
    if (hole.joint > 0) {
        at = net.add_node();
        net.join(hole.node, at, hole.joint);
    }
    if (wiring_.opened == p && which == 0) {
        const std::size_t lead = net.add_node();
        result_.ammeter = net.join(at, lead, wiring_.burden);
        at = lead;
    }
    return at;
}

Setting WiringMaker::setting_of(const BuiltPart& part) const {
    if (part.stuck) return *part.stuck;
    const bool contact = part.device.kind == "contact";
    if (!wiring_.state) return contact ? Setting::open : Setting::low;
    const auto found = wiring_.state->settings.find(*part.part);
    if (found != wiring_.state->settings.end()) return found->second;
    return contact ? Setting::open : Setting::low;
}

void WiringMaker::add(std::size_t p) {
    const BuiltPart& part = board_.parts[p];
    const MadePart& d = part.device;
    if (part.dead || wiring_.off == p) return;
    const bool powered = wiring_.state != nullptr;
    // With the power off what is told and asked by logic is taken off as well.
    if (!powered && (d.kind == "logic input" || d.kind == "logic output")) return;
    for (const auto& leak : part.leaks) {
        result_.network.join(terminal(p, leak.a), terminal(p, leak.b), leak.ohms);
    }
    if (d.kind == "battery" || d.kind == "logic output") {
        if (powered) add_source(p);
    } else if (d.kind == "logic input") {
        if (powered) add_logic_input(p);
    } else if (d.kind == "transistor" || d.kind == "receiver") {
        add_transistor(p);
    } else if (d.kind == "mosfet") {
        add_mosfet(p);
    } else if (d.kind == "diode" || d.kind == "led" || d.kind == "zener" || d.kind == "coupler") {
        add_junction(p);
    } else if (d.kind == "contact") {
        add_contact(p);
    } else if (d.kind == "resistor" || d.kind == "coil" || d.kind == "load" ||
               d.kind == "inductor") {
        const double ohms = d.figure(d.kind == "resistor" ? "value" : "resistance");
        const std::size_t a = terminal(p, 0), b = terminal(p, 1);
        result_.path_of[p] = result_.network.join(a, b, std::max(ohms, 1e-3));
    }
}

void WiringMaker::add_source(std::size_t p) {
    const BuiltPart& part = board_.parts[p];
    const MadePart& d = part.device;
    LimitedSource source;
    if (d.kind == "battery") {
        const std::size_t plus = terminal(p, 0), minus = terminal(p, 1);
        source = {plus, minus, d.figure("voltage"), d.figure("resistance"), d.figure("limit", 3)};
    } else {
        const double drive = wiring_.drive[part.side == Side::input ? 0 : 1];
        if (drive <= 0) return;  // its chip has no supply
        const bool high = setting_of(part) == Setting::high;
        const double volts = high ? d.figure("high") * drive : d.figure("low");
        source = {terminal(p, 0), board_.side_return(part.side), volts, d.figure("resistance", 25),
                  1};
    }
    result_.path_of[p] = result_.network.add(source);
}

void WiringMaker::add_logic_input(std::size_t p) {
    const double leakage = board_.parts[p].device.figure("leakage");
    const std::size_t a = terminal(p, 0), b = terminal(p, 1);
    if (leakage > 0) {
        result_.path_of[p] = result_.network.add(LimitedSource{a, b, 0, 0.05 / leakage, leakage});
    }
}

void WiringMaker::add_contact(std::size_t p) {
    const BuiltPart& part = board_.parts[p];
    const bool closed = setting_of(part) == Setting::closed;
    const std::size_t a = terminal(p, 0), b = terminal(p, 1);
    Network& net = result_.network;
    if (closed) {
        result_.path_of[p] = net.join(a, b, part.device.figure("closed_resistance", 0.05));
        return;
    }
    const double leakage = wiring_.state ? part.device.figure("leakage") : 0;
    const double apart = part.device.figure("open_resistance", 1e9);
    result_.path_of[p] = net.join(a, b, apart);
    if (leakage > 0) net.add(LimitedSource{a, b, 0, 0.05 / leakage, leakage});
}

Wired wired(const Board& board, const Wiring& wiring) {
    return WiringMaker(board, wiring).made();
}

}  // namespace gapwright::reference
