#include "board/board.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include "circuit/index.hpp"

namespace gapwright {
namespace {

constexpr std::array<std::string_view, 3> words = {"solderless", "strip", "grid"};
constexpr int solderless_gap_left = outer_rail;
constexpr int group = 6;  // rail holes: five and a space

// As many whole groups as fit, in the middle.
int groups_of(int rows) {
    return (rows + 1) / group;
}

int first_of_rail(int rows) {
    return (rows - (groups_of(rows) * group - 1)) / 2;
}

int from_gap(const Board& board, int column) {
    return column <= board.gap_left ? board.gap_left - column : column - board.gap_right;
}

std::string column_letters(int column) {
    std::string letters;
    for (int c = column; c >= 0; c = c / 26 - 1) {
        letters.insert(letters.begin(), static_cast<char>('A' + c % 26));
    }
    return letters;
}

}  // namespace

std::string_view board_kind_word(BoardKind kind) {
    return words[static_cast<std::size_t>(kind)];
}

std::optional<BoardKind> board_kind_named(std::string_view word) {
    for (const BoardKind kind : board_kinds) {
        if (board_kind_word(kind) == word) return kind;
    }
    return std::nullopt;
}

Board solderless_board(int rows) {
    const int right = solderless_gap_left + gap_width;
    return {BoardKind::solderless, rows, right + outer_rail + 1, solderless_gap_left, right};
}

Board plain_board(BoardKind kind, int rows, int input_columns, int output_columns) {
    const int right = input_columns - 1 + gap_width;
    return {kind, rows, right + output_columns, input_columns - 1, right};
}

bool rail_has_hole(int rows, int row) {
    const int groups = groups_of(rows);
    const int k = row - first_of_rail(rows);
    return k >= 0 && k < groups * group - 1 && k % group != group - 1;
}

std::optional<int> rail_break(const Board& board) {
    const int groups = groups_of(board.rows);
    const bool large = board.kind == BoardKind::solderless && board.rows > solderless_rows[0];
    if (!large || groups % 2 != 0) return std::nullopt;
    return first_of_rail(board.rows) + groups / 2 * group - 1;
}

bool has_hole(const Board& board, Hole hole) {
    if (hole.row < 0 || hole.row >= board.rows) return false;
    if (hole.column < 0 || hole.column >= board.columns) return false;
    if (board.kind != BoardKind::solderless) return true;
    if (!side_of(board, hole)) return false;
    if (rail_of(board, hole) != Rail::none) return rail_has_hole(board.rows, hole.row);
    return from_gap(board, hole.column) < solderless_holes;
}

std::optional<Side> side_of(const Board& board, Hole hole) {
    if (hole.column <= board.gap_left) return Side::input;
    if (hole.column >= board.gap_right) return Side::output;
    return std::nullopt;
}

Rail rail_of(const Board& board, Hole hole) {
    if (board.kind != BoardKind::solderless || !side_of(board, hole)) return Rail::none;
    const int u = from_gap(board, hole.column);
    return u == outer_rail ? Rail::supply : u == inner_rail ? Rail::returns : Rail::none;
}

std::string hole_name(const Board& board, Hole hole) {
    if (board.kind != BoardKind::solderless) {
        return fmt::format("{}{}", column_letters(hole.column), hole.row + 1);
    }
    const bool left = hole.column <= board.gap_left;
    if (const Rail rail = rail_of(board, hole); rail != Rail::none) {
        return fmt::format("{}{}{}", left ? 'L' : 'R', rail == Rail::supply ? '+' : '-',
                           hole.row + 1);
    }
    const int u = from_gap(board, hole.column);
    const char letter =
        static_cast<char>(left ? 'a' + (solderless_holes - 1 - u) : 'a' + solderless_holes + u);
    return fmt::format("{}{}", letter, hole.row + 1);
}

std::optional<Hole> hole_named(const Board& board, std::string_view name) {
    const std::size_t digits = name.find_first_of("0123456789");
    if (digits == std::string_view::npos || digits == 0 || digits > 3) return std::nullopt;
    int row = 0;
    const auto* end = name.data() + name.size();
    const auto read = std::from_chars(name.data() + digits, end, row);
    if (read.ec != std::errc() || read.ptr != end) return std::nullopt;
    for (int column = 0; column < board.columns; ++column) {
        const Hole hole{column, row - 1};
        if (has_hole(board, hole) && hole_name(board, hole) == name) return hole;
    }
    return std::nullopt;
}

}  // namespace gapwright
