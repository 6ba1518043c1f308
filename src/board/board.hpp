// Boards on which a link is built: where their holes are, what they are called, and which of them
// metal joins.
//
// The two sides stand on one board with the gap upright between them: the input side left, the
// output side right. Holes lie on a square grid of 2.54 mm, on the solderless board its rails too.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "circuit/index.hpp"

namespace gapwright {

inline constexpr double hole_pitch = 2.54e-3;  // m

enum class BoardKind : std::uint8_t {
    solderless,  // rows of five holes either side of a channel, two rails a side
    strip,       // a copper strip along each row, cut at the gap
    grid,        // holes without copper; wires from point to point underneath
};
inline constexpr BoardKind board_kinds[] = {BoardKind::solderless, BoardKind::strip,
                                            BoardKind::grid};

// "solderless", "strip", "grid": as options and files name them.
std::string_view board_kind_word(BoardKind kind);
std::optional<BoardKind> board_kind_named(std::string_view word);

// A place on the grid; both from 0, at the left and at the top.
struct Hole {
    int column = 0;
    int row = 0;
    friend bool operator==(const Hole&, const Hole&) = default;
    friend auto operator<=>(const Hole&, const Hole&) = default;
};

struct Board {
    BoardKind kind = BoardKind::grid;
    int rows = 0;
    int columns = 0;    // of the grid, rails and spaces included
    int gap_left = 0;   // the column next to the gap on the input side
    int gap_right = 0;  // and on the output side
    friend bool operator==(const Board&, const Board&) = default;
};

// Solderless boards come in few sizes; rows of the smaller and of the larger one that plans use.
inline constexpr int solderless_rows[] = {30, 63};
// From the gap outwards: five holes, two spaces, the inner rail (return), the outer (supply).
inline constexpr int solderless_holes = 5;
inline constexpr int inner_rail = 7;
inline constexpr int outer_rail = 8;
// Between the columns next to the gap: the pin rows of packaged couplers, 7.62 mm.
inline constexpr int gap_width = 3;

Board solderless_board(int rows);
// Strip or grid, with so many columns either side of the gap.
Board plain_board(BoardKind kind, int rows, int input_columns, int output_columns);

// Whether a solderless board of so many rows has a rail hole there: groups of five, one left out.
bool rail_has_hole(int rows, int row);

// The row, between two groups of holes, at which rails of many boards of that size are broken; none
// where boards usually have them whole (common practice: the larger solderless boards).
std::optional<int> rail_break(const Board& board);

bool has_hole(const Board& board, Hole hole);

// The side whose ground a hole is on; none in the gap.
std::optional<Side> side_of(const Board& board, Hole hole);

enum class Rail : std::uint8_t { none, supply, returns };
Rail rail_of(const Board& board, Hole hole);

// "c7" and "L+7" (left supply rail, row 7) on a solderless board, "C7" on others: column, then row
// from 1. The hole must be on the board.
std::string hole_name(const Board& board, Hole hole);
// None for a text that names no hole of the board.
std::optional<Hole> hole_named(const Board& board, std::string_view name);

}  // namespace gapwright
