// A built link at the bench: the plan of its board with the meter on it.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "draw/picture.hpp"
#include "link/link.hpp"

namespace gapwright {

struct MeterOnBoard {
    Picture picture;
    std::string note;  // of a lead that has no place on the board, a sentence; else empty
};

// Both leads in holes that the words of the measurement name (MeterPoint::hole_words), at the two
// that are nearest to each other; what is lifted or taken off for it told beside it; `suspects`
// (parts of the link) framed. Requires the link's own wiring (wiring_of) and a plan of it. None
// where neither lead has a place on the board.
std::optional<MeterOnBoard> meter_on_board(const Link& link, const Wiring& wiring, const Plan& plan,
                                           const Measurement& measurement,
                                           const std::vector<std::size_t>& suspects);

}  // namespace gapwright
