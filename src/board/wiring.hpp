// What has to stand on a board and be joined there: parts with pins, and the node of each pin.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "circuit/index.hpp"

namespace gapwright {

// How a part meets the board.
enum class Body : std::uint8_t {
    axial,    // lies between its two pins: resistor, diode
    radial,   // stands over its two pins: light-emitting diode, capacitor
    in_line,  // three pins in a row, one pitch apart: transistor
    coupler,  // astride the gap: two rows of pins, as many on each side
    leads,    // stands elsewhere; each of its pins is a wire that leaves the board
};

// Lengths in hole pitches.
struct Footprint {
    Body body = Body::axial;
    int least_span = 1;  // between the two pins of an axial or radial body
    int most_span = 1;
    double length = 0;  // of the body, along its pins
    double width = 0;   // across
    double height = 0;  // above the board; low parts are put in first
    friend bool operator==(const Footprint&, const Footprint&) = default;
};

struct WiringPin {
    std::string name;                 // "anode", "2", "collector"
    std::optional<std::size_t> node;  // index in Wiring::nodes; none where nothing is joined to it
    friend bool operator==(const WiringPin&, const WiringPin&) = default;
};

struct WiringPart {
    std::string name;         // "R1", "input supply"
    Side side = Side::input;  // a coupler's pins are on both
    Footprint footprint;
    // In the order of the body: from one end to the other; a coupler's pins from 1, counted as on
    // its package seen from above: down the input side, up the output side.
    std::vector<WiringPin> pins;
    friend bool operator==(const WiringPart&, const WiringPart&) = default;
};

struct WiringNode {
    Side side = Side::input;
    std::string name;        // "supply", "coil", "between R1 and U1"
    Rail rail = Rail::none;  // on a solderless board the rail that is it
    friend bool operator==(const WiringNode&, const WiringNode&) = default;
};

struct Wiring {
    std::vector<WiringNode> nodes;
    std::vector<WiringPart> parts;
    friend bool operator==(const Wiring&, const Wiring&) = default;
};

// Whether a part itself stands on the board, and not its leads alone.
bool stands_on_board(const WiringPart& part);

// The side on which a pin of a part stands.
Side side_of_pin(const WiringPart& part, std::size_t pin);

}  // namespace gapwright
