// Builds a link's board: which holes there are, what stands in them, every figure thrown.
#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "reference/second_bench/board.hpp"

namespace gapwright::reference {
namespace {

std::vector<std::string> lead_names(const std::string& kind, bool mirrored) {
    if (kind == "transistor" || kind == "receiver") {
        return mirrored ? std::vector<std::string>{"emitter", "collector", "base"}
                        : std::vector<std::string>{"collector", "emitter", "base"};
    }
    if (kind == "mosfet") {
        return mirrored ? std::vector<std::string>{"source", "drain", "gate"}
                        : std::vector<std::string>{"drain", "source", "gate"};
    }
    if (kind == "diode" || kind == "led" || kind == "zener" || kind == "coupler") {
        return {"anode", "cathode"};
    }
    if (kind == "battery") return {"plus", "minus"};
    if (kind == "logic output") return {"pin"};
    return {"1", "2"};
}

class Builder {
  public:
    Builder(const Link& link, Dice& dice) : link_(link), dice_(dice) {
        board_.input_nodes = link.input.node_names.size();
        board_.nodes = board_.input_nodes + link.output.node_names.size();
        // A room in which people solder (common practice).
        board_.kelvin = dice.between(288.15, 303.15);
        const Spread& light = link.surroundings.light;
        board_.ambient = dice.between(light.lowest, light.highest);
    }

    Board built() {
        for (const Side side : {Side::input, Side::output}) add_supply(side);
        for (std::size_t p = 0; p < link_.parts.size(); ++p) add(p);
        return board_;
    }

  private:
    // Adds the part; its terminals are those of the device in the order of its laws.
    std::size_t place(std::optional<std::size_t> part, const std::string& name, Side side,
                      MadePart device, std::vector<std::size_t> nodes) {
        BuiltPart built;
        built.name = name;
        built.part = part;
        built.side = side;
        built.mirrored = device.mirrored();
        const auto leads = lead_names(device.kind, built.mirrored);
        for (std::size_t k = 0; k < nodes.size(); ++k) built.holes.push_back({nodes[k], leads[k]});
        for (std::size_t k = 0; k < nodes.size(); ++k) built.terminals.push_back(k);
        // Laws speak of collector, emitter, base (drain, source, gate); a path of a pnp begins at
        // its emitter, of a p-channel at its source.
        if (built.mirrored) std::swap(built.terminals[0], built.terminals[1]);
        built.device = std::move(device);
        board_.parts.push_back(std::move(built));
        return board_.parts.size() - 1;
    }

    void add_supply(Side side) {
        const auto& stated = link_.side(side).supply;
        if (!stated) return;
        MadePart device = drawn_device(*stated, dice_);
        device.kind = "battery";
        // Wires and clips of a bench supply, and where it limits its current (common practice).
        const double leads = dice_.between(0.02, 0.1);
        device.figures["resistance"] = device.figure("resistance") + leads;
        device.figures["limit"] = dice_.between(2, 4);
        board_.sound_volts[side == Side::input ? 0 : 1] = device.figure("voltage");
        place({}, std::string(side_name(side)) + " supply", side, std::move(device),
              {board_.node(side, supply_node), board_.side_return(side)});
    }

    std::vector<std::size_t> nodes_of(const Placement& at) const {
        std::vector<std::size_t> nodes{board_.node(at.side, at.from), board_.node(at.side, at.to)};
        if (at.control) nodes.push_back(board_.node(at.side, *at.control));
        return nodes;
    }

    void add(std::size_t index) {
        const Part& part = link_.parts[index];
        if (part.is_gap()) {
            add_gap(index);
            return;
        }
        for (const Side side : {Side::input, Side::output}) {
            const auto& at = part.on(side);
            if (!at) continue;
            MadePart device = drawn_device(part.description, dice_);
            auto nodes = nodes_of(*at);
            if (device.kind == "logic output") nodes = {nodes[1]};
            place(index, part.name, side, std::move(device), std::move(nodes));
        }
    }

    void add_gap(std::size_t index) {
        const Part& part = link_.parts[index];
        const Description& d = part.description;
        const MadePart whole = drawn_device(d, dice_);
        Beam beam;
        beam.coupler = d.kind == Kind::coupler;
        MadePart emitter = beam.coupler ? whole : drawn_device(*d.emitter, dice_);
        MadePart receiver = beam.coupler ? whole : drawn_device(*d.receiver, dice_);
        if (whole.has("second_gain")) throw std::logic_error("no darlingtons on this bench");
        if (beam.coupler) {
            receiver.kind = "receiver";
            fill_coupler(whole, receiver, beam);
        } else {
            if (receiver.kind == "phototransistor") receiver.kind = "receiver";
            fill_pair(whole, emitter, receiver, beam);
        }
        receiver.words.erase("polarity");
        beam.emitter = place(index, part.name, Side::input, emitter, nodes_of(*part.input));
        beam.receiver = place(index, part.name, Side::output, receiver, nodes_of(*part.output));
        board_.beams.push_back(beam);
    }

    static void fill_coupler(const MadePart& whole, const MadePart& receiver, Beam& beam) {
        beam.low_knee = whole.figure("low_knee", 0.6e-3);
        beam.high_knee = whole.figure("high_knee", 0.12);
        beam.dark_current = whole.figure("dark_current", 1e-10);
        beam.temperature_coefficient = whole.figure("temperature_coefficient", -0.005);
        beam.ratio = whole.has("ctr")
                         ? photocurrent_ratio(receiver, beam, whole.figure("ctr"),
                                              whole.figure("ctr_at"), whole.figure("ctr_at_2"))
                         : whole.figure("photocurrent_ratio", 4.5e-3);
    }

    void fill_pair(const MadePart& whole, const MadePart& emitter, const MadePart& receiver,
                   Beam& beam) {
        const bool cell = receiver.kind == "light-dependent resistor";
        const std::string seen = cell ? "luminous_intensity" : "radiant_intensity";
        beam.intensity = emitter.figure(seen) / emitter.figure(seen + "_at", 1);
        beam.half_angle = emitter.figure("half_angle", 0.35);
        beam.temperature_coefficient = emitter.figure("temperature_coefficient", -0.005);
        beam.distance = whole.figure("distance");
        // Nobody glues two tubes quite in line (common practice); the drawing's angle besides.
        beam.angle = whole.figure("angle") + dice_.between(0, 0.05);
        beam.shroud = 1 - (1 - whole.figure("shroud")) * dice_.between(0.7, 1.4);
        beam.shroud = std::clamp(beam.shroud, 0.0, 1.0);
        if (cell) {
            beam.resistance = receiver.figure("resistance");
            beam.resistance_at = receiver.figure("resistance_at");
            beam.gamma = receiver.figure("gamma");
            beam.dark_resistance = receiver.figure("dark_resistance", 2e6);
            return;
        }
        beam.sensitivity = receiver.figure("sensitivity") / receiver.figure("sensitivity_at", 1);
        beam.dark_current = receiver.figure("dark_current", 1e-10);
        // Where no card says it: filament lamps and sun, lux for a W/m² (common practice).
        beam.ambient_sensitivity = receiver.has("ambient_sensitivity")
                                       ? receiver.figure("ambient_sensitivity") /
                                             receiver.figure("ambient_sensitivity_at", 1)
                                       : beam.sensitivity / dice_.decades(20, 150);
    }

    const Link& link_;
    Dice& dice_;
    Board board_;
};

}  // namespace

Board drawn_board(const Link& link, Dice& dice) {
    return Builder(link, dice).built();
}

std::size_t Board::find(const std::string& name, std::optional<Side> side) const {
    const auto found = std::find_if(parts.begin(), parts.end(), [&](const BuiltPart& part) {
        return part.name == name && (!side || part.side == *side);
    });
    if (found == parts.end()) throw std::logic_error("no part " + name);
    return static_cast<std::size_t>(found - parts.begin());
}

std::optional<std::size_t> Board::supply(Side side) const {
    const std::string name = std::string(side_name(side)) + " supply";
    for (std::size_t p = 0; p < parts.size(); ++p) {
        if (parts[p].name == name) return p;
    }
    return {};
}

bool Board::is_bridged() const {
    return std::any_of(bridges.begin(), bridges.end(), [&](const Bridge& bridge) {
        return side_of(bridge.a) != side_of(bridge.b);
    });
}

std::string node_words(const Link& link, const Board& board, std::size_t node) {
    const Side side = board.side_of(node);
    const std::string& name = link.side(side).node_names[node - board.side_return(side)];
    return std::string(side_name(side)) + " " + name;
}

}  // namespace gapwright::reference
