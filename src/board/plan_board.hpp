// From what has to be joined to a plan of a board.
#pragma once

#include <cstdint>
#include <expected>
#include <functional>
#include <optional>
#include <string>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"

namespace gapwright {

struct BoardSize {
    int rows = 0;
    int columns = 0;  // holes, the gap's included; without meaning on a solderless board
};

struct PlanOptions {
    BoardKind kind = BoardKind::solderless;
    std::optional<BoardSize> size = {};  // none: as small as the plan comes out
    int starts = 24;                     // of the search; more take longer and find shorter wires
    bool insists = true;                 // searches longer while wires cross
    std::uint64_t seed = 1;
    std::function<bool()> stop = {};  // asked now and then
};

struct PlanFailure {
    std::string message;             // "U1 and 9 other parts do not fit on 30 rows"
    std::optional<BoardSize> needs;  // a size that does, where one was found
    bool stopped = false;
};

// A plan in which nothing overlaps, every node is joined, wires are as short as the search finds
// them, and nothing of either side stands in the gap. The same inputs give the same plan. Fails
// where there are no parts, where they do not fit, or when stopped before there is any plan. One
// search is always finished before `stop` is asked.
std::expected<Plan, PlanFailure> plan_board(const Wiring& wiring, const PlanOptions& options);

}  // namespace gapwright
