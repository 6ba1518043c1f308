#include "board/plan.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "board/board.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"

namespace gapwright {

bool stands_on_board(const WiringPart& part) {
    return part.footprint.body != Body::leads;
}

Side side_of_pin(const WiringPart& part, std::size_t pin) {
    if (part.footprint.body != Body::coupler) return part.side;
    return pin < part.pins.size() / 2 ? Side::input : Side::output;
}

double length_of(const PlanWire& wire) {
    return hole_pitch * std::hypot(wire.to.column - wire.from.column, wire.to.row - wire.from.row);
}

double wire_length(const Plan& plan) {
    double sum = 0;
    for (const auto& wire : plan.wires) sum += length_of(wire);
    return sum;
}

std::size_t crossing_wires(const Plan& plan) {
    return static_cast<std::size_t>(std::ranges::count_if(plan.wires, &PlanWire::insulated));
}

}  // namespace gapwright
