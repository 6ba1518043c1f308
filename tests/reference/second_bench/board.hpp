// A link as it was built: metal with holes in it, parts with leads in the holes, and what joins
// metal that should be apart. Faults are done to this.
#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "link/link.hpp"
#include "reference/made_link.hpp"
#include "reference/second_bench/dice.hpp"

namespace gapwright::reference {

// A hole and the joint in it.
struct Hole {
    std::size_t node = 0;    // over both sides: those of the input side first
    std::string lead;        // which lead belongs in it: "anode", "base", "1"
    double joint = 0;        // Ω; zero: sound
    bool sometimes = false;  // the joint is open in some of the readings
};

// What stands in the holes. Kinds are those of link files; of a gap the halves are parts of their
// own: an "led" or "coupler" on the one side (a junction), a "receiver" or "light-dependent
// resistor" on the other. A supply is a "battery".
struct BuiltPart {
    std::string name;
    std::optional<std::size_t> part;  // index in Link::parts; none for a supply
    Side side = Side::input;
    MadePart device;
    std::vector<Hole> holes;             // as the drawing has them: from, to, control
    std::vector<std::size_t> terminals;  // by terminal of the device: in which hole
    bool mirrored = false;               // pnp or p-channel
    std::optional<Setting> stuck;        // of a contact or logic output, whatever is asked of it
    bool dead = false;                   // nothing of it conducts (a logic output: its lead is off)
    // What conducts inside it besides, between two of its terminals.
    struct Leak {
        std::size_t a = 0, b = 1;
        double ohms = 0;
    };
    std::vector<Leak> leaks = {};

    const Hole& hole_of(std::size_t terminal) const { return holes[terminals[terminal]]; }
};

struct Bridge {
    std::size_t a = 0, b = 0;
    double ohms = 0.02;
};

// How light gets from one part to another. SI; angles in radians.
struct Beam {
    std::size_t emitter = 0, receiver = 0;  // indices in Board::parts
    bool coupler = false;
    double ratio = 0, low_knee = 0, high_knee = 0, dark_current = 0;  // of a coupler
    double temperature_coefficient = 0;
    double intensity = 0, half_angle = 0.3, angle = 0, distance = 1;  // per ampere
    double shroud = 0;
    double sensitivity = 0, ambient_sensitivity = 0;  // A per W/m², per lux
    double resistance = 0, resistance_at = 1, gamma = 0.7, dark_resistance = 1e6;
    double brightness = 1;  // what another emitter, dirt or age leave of it
    double stray = 0;       // lx that come in besides

    // Of the emitter's current: A, or S of a light-dependent resistor.
    double thrown(double amperes, double kelvin, double ambient) const;
    bool conducts() const { return resistance > 0; }
};

enum class MeterFault { none, red_lead_in_current_socket, fuse_blown };

struct Board {
    std::size_t input_nodes = 0;
    std::size_t nodes = 0;
    std::vector<BuiltPart> parts;
    std::vector<Beam> beams;
    std::vector<Bridge> bridges;
    double kelvin = 298.15;
    double ambient = 0;  // lx
    // By side: what its supply gave before anything happened to it; zero where there is none.
    std::array<double, 2> sound_volts{};
    MeterFault meter_fault = MeterFault::none;

    std::size_t node(Side side, Node node) const {
        return to_index(node) + (side == Side::input ? 0 : input_nodes);
    }
    Side side_of(std::size_t node) const { return node < input_nodes ? Side::input : Side::output; }
    std::size_t side_return(Side side) const { return side == Side::input ? 0 : input_nodes; }
    // The part of that name on that side; on either where none is asked for.
    std::size_t find(const std::string& name, std::optional<Side> side = {}) const;
    std::optional<std::size_t> supply(Side side) const;
    // Whether anything joins the sides, or could: a bridge with one end on either.
    bool is_bridged() const;
};

// A link built without a fault: every figure thrown within its spread.
Board drawn_board(const Link& link, Dice& dice);

// One figure of a specimen, thrown: within its spread where one is stated, else about it as far as
// such figures differ from type to type.
double drawn_figure(Key key, const Figure& figure, Dice& dice);

// The photocurrent ratio with which this receiver has this transfer ratio at these currents.
double photocurrent_ratio(const MadePart& receiver, const Beam& beam, double transfer,
                          double emitter_current, double collector_emitter);

// What a part of this description would be on a board, thrown.
MadePart drawn_device(const Description& description, Dice& dice);

std::string node_words(const Link& link, const Board& board, std::size_t node);

}  // namespace gapwright::reference
