// How near the conductors of the two sides come to each other on a board.
#pragma once

#include <cstddef>
#include <optional>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"

namespace gapwright {

// Half widths of conductors, m. From memory of common boards; whoever builds measures the board in
// hand.
inline constexpr double clip_half_width = 1.0e-3;   // a solderless board's spring and its cell
inline constexpr double strip_half_width = 1.0e-3;  // copper strip, 2 mm wide
inline constexpr double joint_radius = 1.0e-3;      // solder about a pin or a wire's end
inline constexpr double wire_radius = 0.4e-3;       // bare link, or insulated wire's conductor
inline constexpr double cut_radius = 1.6e-3;        // copper that a 3.2 mm cutter takes away

struct SideDistance {
    double metres = 0;  // of metal from metal, in a straight line over the board's surface
    Hole input;         // the nearest hole of either side; in the gap where copper is left there
    Hole output;
};

// The smallest distance between any conductor of the input side and any of the output side; none
// where a side has none, as only a grid board can: strips and clips of a side count with it, used
// or not, since they lie bare beside it.
std::optional<SideDistance> side_distance(const Wiring& wiring, const Plan& plan);

// The same between the two rows of pins of a coupler, `part` of the wiring: their joints shrink the
// rows' 7.62 mm. None for another part.
std::optional<SideDistance> distance_under_coupler(const Wiring& wiring, const Plan& plan,
                                                   std::size_t part);

}  // namespace gapwright
