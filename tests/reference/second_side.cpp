// Walks the paths of a made-up link and sets up one side's parts.
#include "reference/second_side.hpp"

#include <stdexcept>

namespace gapwright::reference {
namespace {

std::variant<Ohms, OpenCircuit, SecondJunction, SecondTransistor, SecondMosfet> law_of(
    const MadePart& part, bool input, double kelvin, const std::string& setting, double light) {
    const std::string& kind = part.kind;
    if (kind == "resistor") return Ohms{1 / part.figure("value")};
    if (kind == "coil" || kind == "load" || kind == "inductor") {
        return Ohms{1 / part.figure("resistance")};
    }
    if (kind == "contact") {
        if (setting == "closed") return Ohms{1 / part.figure("closed_resistance", 0.05)};
        return Ohms{1 / part.figure("open_resistance", 1e9), 0, part.figure("leakage")};
    }
    if (kind == "logic output") {
        return Ohms{1 / part.figure("resistance", 25), part.figure(setting)};
    }
    if (kind == "logic input") return Ohms{0, 0, part.figure("leakage")};
    if (kind == "capacitor") return OpenCircuit{};
    if (kind == "diode" || kind == "led" || kind == "zener") {
        return second_junction(part, "", kelvin);
    }
    if (kind == "transistor") return second_transistor(part, "", kelvin, false);
    if (kind == "mosfet") return second_mosfet(part, kelvin);
    if (input) return second_junction(part, "emitter.", kelvin);
    if (has_light_resistor(part)) return Ohms{light};
    return second_transistor(part, "receiver.", kelvin, true);
}

}  // namespace

SecondSide::SecondSide(const MadeLink& link, bool input,
                       const std::map<std::string, std::string>& settings,
                       const std::map<std::string, double>& light)
    : settings_(settings), light_(light) {
    const MadeSide& side = input ? link.input : link.output;
    node_of_["return"] = 0;
    supply_node_ = node("supply");
    for (const auto& path : side.paths) {
        for (const auto& item : path) {
            if (!link.parts.contains(item)) node(item);
        }
    }
    for (const auto& path : side.paths) {
        std::size_t here = node(path.front());
        for (std::size_t k = 1; k < path.size(); ++k) {
            if (!link.parts.contains(path[k])) {
                here = node(path[k]);
                continue;
            }
            const bool node_next = !link.parts.contains(path.at(k + 1));
            const std::size_t next = node_next ? node(path[k + 1]) : nodes_++;
            add_part(link, input, path[k], here, next);
            here = next;
        }
    }
    if (side.resistance > 0) {
        SecondPart supply;
        supply.name = "the supply";
        supply.to = supply_node_;
        supply.law = Ohms{1 / side.resistance, side.supply};
        parts_.push_back(supply);
    } else {
        ideal_supply_ = side.supply;
    }
    unknowns_ = nodes_ - 1;
    for (auto& part : parts_) {
        if (std::holds_alternative<SecondJunction>(part.law) ||
            std::holds_alternative<SecondTransistor>(part.law)) {
            part.inner = unknowns_++;
        }
    }
}

std::size_t SecondSide::node(const std::string& name) {
    const auto [found, added] = node_of_.try_emplace(name, nodes_);
    if (added) ++nodes_;
    return found->second;
}

void SecondSide::add_part(const MadeLink& link, bool input, const std::string& name,
                          std::size_t from, std::size_t to) {
    const MadePart& made = link.parts.at(name);
    SecondPart part;
    part.name = name;
    part.from = made.kind == "logic output" ? 0 : from;
    part.to = to;
    part.before = from;
    part.mirrored = made.mirrored();
    const auto setting = settings_.find(name);
    const auto lit = light_.find(name);
    part.law =
        law_of(made, input, link.temperature, setting == settings_.end() ? "" : setting->second,
               lit == light_.end() ? 0 : lit->second);
    if (std::holds_alternative<SecondTransistor>(part.law)) {
        const auto base = node_of_.find(name + ".base");
        part.control = base == node_of_.end() ? nodes_++ : base->second;
        if (lit != light_.end()) part.photocurrent = lit->second;
    } else if (std::holds_alternative<SecondMosfet>(part.law)) {
        part.control = node_of_.at(name + ".gate");
    }
    parts_.push_back(part);
}

}  // namespace gapwright::reference
