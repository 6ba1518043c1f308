// What can be measured on a built link, with a meter and the link's own nodes.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/index.hpp"
#include "link/link.hpp"
#include "units/dimension.hpp"

namespace gapwright {

enum class MeasurementKind : std::uint8_t {
    voltage,     // V, powered
    current,     // A, powered: of a supply, or of a part that hangs on leads, one of them opened
    resistance,  // Ω, both sides unpowered
    junction,    // V, unpowered: the meter's diode test
    isolation,   // Ω, unpowered: from points of one side to points of the other
    insulation,  // Ω, unpowered: the same by an insulation tester, at its test voltage
};

// The state of a reading that is taken with both supplies and drives taken off.
inline constexpr std::string_view unpowered = "unpowered";

// One reading that may be taken.
struct Measurement {
    MeasurementKind kind = MeasurementKind::voltage;
    std::string measure;  // its name on the test sheet and in readings: "voltage at coil"
    std::vector<std::string> also = {};  // what else it may be called (measure_names.hpp)
    std::string state;                   // a state of the link, or `unpowered`
    Side side = Side::input;
    // The red lead and the black one. Of an isolation or insulation, where plus is a node of the
    // input side and minus one of the output side, whichever lead is there.
    Node plus = Node::side_return;
    Node minus = Node::side_return;
    std::optional<std::size_t> part = {};  // of a current: of the link; none for the supply's
    // A part of which one lead, its first, is lifted out of the board while the reading is taken
    // across it: it is measured by itself.
    std::optional<std::size_t> lifted = {};
    // Another part that is taken off the board while the reading is taken: what lies beside it can
    // then be seen.
    std::optional<std::size_t> off = {};
    // Of an isolation or insulation: all nodes of that side are clipped together, and the lead is
    // at all of them, not at plus or minus.
    bool all_input = false;
    bool all_output = false;
    bool reversed = false;  // of these: the red lead is on the output side
    double cost = 1;        // in readings of a voltage against the return, the power being as it is

    // The unit that its values have: V, A or Ω.
    Dimension dimension() const;
};

// Whether it goes from side to side: an isolation or insulation.
bool crosses_gap(const Measurement& m);

// Every measurement that may be of use, those of one pair of points together; each pair of measure
// and state once. Voltages go from each node to its side's return, and across each part that does
// not end there; of what hangs on leads, and of the supplies, the current in each state.
std::vector<Measurement> measurements_of(const Link& link);

// Whether a side's supply feeds anything but logic outputs: these have a source of their own in the
// model, so that no current of theirs shows in the supply's lead.
bool supply_feeds_current(const Link& link, Side side);

// What a node is called on the sheet: "coil", "R1/U1" after the parts that meet there for one
// without a name, "input.supply" where both sides have that name.
std::string node_word(const Link& link, Side side, Node node);

}  // namespace gapwright
