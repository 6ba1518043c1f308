#include "reference/made_charges.hpp"

#include <algorithm>

namespace gapwright::reference {
namespace {

void add_junction_charge(MadePart& part, const std::string& prefix, Dice& dice) {
    if (dice.chance(0.8))
        part.figures[prefix + "junction_capacitance"] = dice.decades(1e-12, 1e-10);
    if (dice.chance(0.6)) part.figures[prefix + "transit_time"] = dice.decades(1e-9, 5e-6);
}

void add_bipolar_charge(MadePart& part, const std::string& prefix, Dice& dice) {
    const auto maybe = [&](const char* key, double low, double high) {
        if (dice.chance(0.7)) part.figures[prefix + key] = dice.decades(low, high);
    };
    maybe("base_emitter_capacitance", 3e-12, 60e-12);
    maybe("base_collector_capacitance", 2e-12, 30e-12);
    maybe("transit_time", 0.2e-9, 5e-9);
    maybe("reverse_transit_time", 20e-9, 1e-6);
}

void add_charge(MadePart& part, Dice& dice) {
    auto& figures = part.figures;
    if (part.kind == "diode" || part.kind == "led" || part.kind == "zener") {
        add_junction_charge(part, "", dice);
    } else if (part.kind == "transistor") {
        add_bipolar_charge(part, "", dice);
    } else if (part.kind == "mosfet") {
        figures["gate_source_capacitance"] = dice.decades(30e-12, 3e-9);
        figures["gate_drain_capacitance"] = dice.decades(5e-12, 300e-12);
    } else if (part.kind == "logic input") {
        figures["capacitance"] = dice.decades(2e-12, 30e-12);
    } else if (part.kind == "coupler") {
        if (dice.chance(0.7)) figures["emitter.emitter_capacitance"] = dice.decades(1e-11, 1e-10);
        add_bipolar_charge(part, "receiver.", dice);
    } else if (part.kind == "pair") {
        add_junction_charge(part, "emitter.", dice);
        if (part.words.at("receiver.kind") == "phototransistor") {
            add_bipolar_charge(part, "receiver.", dice);
        } else if (dice.chance(0.8)) {
            figures["receiver.rise_time"] = dice.decades(5e-3, 60e-3);
            if (dice.chance(0.7)) figures["receiver.decay_time"] = dice.decades(5e-3, 60e-3);
        }
    } else if (part.kind == "inductor") {
        figures["value"] = dice.decades(1e-6, 1e-4);
    } else if (part.kind == "coil") {
        figures["inductance"] = dice.decades(0.05, 2);
    } else if (part.kind == "load" && dice.chance(0.5)) {
        figures["inductance"] = dice.decades(1e-5, 1e-2);
    }
}

// A diode across every coil and load of the output side, in one of three with a zener diode in its
// way, so that the current falls sooner.
void clamp_windings(MadeLink& link, Dice& dice) {
    MadeSide& side = link.output;
    int number = 0;
    const auto add = [&](const std::string& letter, MadePart part) {
        const std::string name = letter + "9" + std::to_string(++number);
        link.parts[name] = std::move(part);
        return name;
    };
    const std::size_t count = side.paths.size();
    for (std::size_t k = 0; k < count; ++k) {
        for (std::size_t i = 1; i + 1 < side.paths[k].size(); ++i) {
            const auto found = link.parts.find(side.paths[k][i]);
            if (found == link.parts.end() || found->second.figure("inductance") <= 0) continue;
            MadePath& path = side.paths[k];
            if (link.parts.contains(path[i + 1])) {
                path.insert(path.begin() + static_cast<std::ptrdiff_t>(i) + 1,
                            "low" + std::to_string(++number));
            }
            if (link.parts.contains(path[i - 1])) {
                path.insert(path.begin() + static_cast<std::ptrdiff_t>(i),
                            "high" + std::to_string(++number));
                ++i;
            }
            const std::string high = path[i - 1];
            const std::string low = path[i + 1];
            MadePart first = diode(dice);
            add_charge(first, dice);
            if (dice.chance(0.67)) {
                side.paths.push_back({low, add("D", first), high});
                continue;
            }
            MadePart second = zener(dice);
            add_charge(second, dice);
            const std::string between = "clamp" + std::to_string(++number);
            side.paths.push_back({low, add("D", first), between});
            side.paths.push_back({high, add("Z", second), between});
            link.recipe += " zener clamp";
        }
    }
}

}  // namespace

void add_charges(MadeLink& link, Dice& dice) {
    for (auto& [name, part] : link.parts) add_charge(part, dice);
    clamp_windings(link, dice);
}

void add_some_charges(MadeLink& link, Dice& dice) {
    for (auto& [name, part] : link.parts) {
        if (dice.chance(0.5)) add_charge(part, dice);
    }
    if (dice.chance(0.5)) {
        clamp_windings(link, dice);
    } else {
        link.recipe += " without clamps";
    }
}

}  // namespace gapwright::reference
