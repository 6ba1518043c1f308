// Boards on which a link is built: where their holes are, which of them metal joins.
//
// Two sides stand on a board with the gap between them: the input side left, the output side right.
// Lengths are in hole pitches of 2.54 mm unless a name says otherwise.
#pragma once

namespace gapwright {

inline constexpr double hole_pitch = 2.54e-3;  // m

}  // namespace gapwright
