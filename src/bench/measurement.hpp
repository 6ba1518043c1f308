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
    isolation,   // Ω, unpowered: from a point of one side to one of the other
};

// The state of a reading that is taken with both supplies and drives taken off.
inline constexpr std::string_view unpowered = "unpowered";

// One reading that may be taken.
struct Measurement {
    MeasurementKind kind = MeasurementKind::voltage;
    std::string measure;  // its name on the test sheet and in readings: "voltage at coil"
    std::string state;    // a state of the link, or `unpowered`
    Side side = Side::input;
    Node plus = Node::side_return;         // the red lead; of an isolation on the input side
    Node minus = Node::side_return;        // the black lead; of an isolation on the output side
    std::optional<std::size_t> part = {};  // of a current: of the link; none for the supply's
    double cost = 1;  // in readings of a voltage against the return, the power being as it is

    // The unit that its values have: V, A or Ω.
    Dimension dimension() const;
};

// Every measurement that may be of use, those of one pair of points together; each pair of measure
// and state once. Voltages go from each node to its side's return, and across each part that does
// not end there; of what hangs on leads, and of the supplies, the current in each state.
std::vector<Measurement> measurements_of(const Link& link);

// Whether a side's supply feeds anything but logic outputs: these have a source of their own in the
// model, so that no current of theirs shows in the supply's lead.
bool supply_feeds_current(const Link& link, Side side);

// A point of a side's board that is far from its return: the supply or, where nothing but logic
// outputs hangs on that, what such an output drives; none where a side has neither.
std::optional<Node> far_node(const Link& link, Side side);

}  // namespace gapwright
