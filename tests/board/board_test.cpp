// Holes of the three boards: which there are, their names, sides and rails.
#include "board/board.hpp"

#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

namespace gapwright {
namespace {

std::vector<Board> boards() {
    std::vector<Board> all;
    for (const int rows : solderless_rows) all.push_back(solderless_board(rows));
    for (const BoardKind kind : {BoardKind::strip, BoardKind::grid}) {
        for (const int rows : {1, 30, 63}) {
            all.push_back(plain_board(kind, rows, 1, 1));
            all.push_back(plain_board(kind, rows, 3, 5));
        }
        all.push_back(plain_board(kind, 3, 40, 800));  // columns of one, two and three letters
    }
    return all;
}

TEST(Board, KindsAreNamedAsInOptions) {
    EXPECT_EQ(board_kind_word(BoardKind::solderless), "solderless");
    EXPECT_EQ(board_kind_word(BoardKind::strip), "strip");
    EXPECT_EQ(board_kind_word(BoardKind::grid), "grid");
    for (const BoardKind kind : board_kinds) {
        EXPECT_EQ(board_kind_named(board_kind_word(kind)), kind);
    }
    for (const char* word : {"", "Strip", "strips", "stri", " grid", "perforated"}) {
        EXPECT_EQ(board_kind_named(word), std::nullopt) << word;
    }
}

TEST(Board, NamesGoRoundAndNoTwoHolesShareOne) {
    for (const Board& board : boards()) {
        std::set<std::string> names;
        std::size_t holes = 0;
        for (int column = -2; column < board.columns + 2; ++column) {
            for (int row = -2; row < board.rows + 2; ++row) {
                const Hole hole{column, row};
                if (!has_hole(board, hole)) continue;
                ++holes;
                const std::string name = hole_name(board, hole);
                names.insert(name);
                EXPECT_EQ(hole_named(board, name), hole) << name;
            }
        }
        EXPECT_EQ(names.size(), holes);
        EXPECT_GT(holes, 0U);
    }
}

TEST(Board, HasHolesWhereItsKindHasThem) {
    for (const Board& board : boards()) {
        int holes = 0;
        for (int column = -2; column < board.columns + 2; ++column) {
            for (int row = -2; row < board.rows + 2; ++row) {
                const bool has = has_hole(board, {column, row});
                holes += has ? 1 : 0;
                if (row < 0 || column < 0 || row >= board.rows || column >= board.columns) {
                    EXPECT_FALSE(has) << column << ", " << row;
                }
            }
        }
        int rail_holes = 0;
        for (int row = 0; row < board.rows; ++row) {
            rail_holes += rail_has_hole(board.rows, row) ? 1 : 0;
        }
        EXPECT_EQ(holes, board.kind == BoardKind::solderless ? 10 * board.rows + 4 * rail_holes
                                                             : board.rows * board.columns);
    }
}

TEST(Board, SolderlessRowIsNamedFromSideToSide) {
    const Board board = solderless_board(30);
    const char* const names[] = {"L+4", "L-4", "",   "",   "a4", "b4", "c4", "d4", "e4",  "",
                                 "",    "f4",  "g4", "h4", "i4", "j4", "",   "",   "R-4", "R+4"};
    ASSERT_EQ(board.columns, static_cast<int>(std::size(names)));
    for (int column = 0; column < board.columns; ++column) {
        const std::string name = names[column];
        ASSERT_EQ(has_hole(board, {column, 3}), !name.empty()) << column;
        if (name.empty()) continue;
        EXPECT_EQ(hole_name(board, {column, 3}), name);
    }
    EXPECT_EQ(board.gap_left, 8);
    EXPECT_EQ(board.gap_right, 11);
}

TEST(Board, RailsAreGroupsOfFive) {
    for (const int rows : solderless_rows) {
        std::vector<int> groups;
        bool before = false;
        int holes = 0;
        for (int row = 0; row < rows; ++row) {
            const bool has = rail_has_hole(rows, row);
            if (has && !before) groups.push_back(0);
            if (has) ++groups.back();
            // Between groups one hole is left out, at the ends perhaps more.
            if (!has && !before && holes > 0) {
                EXPECT_GE(row, rows - 5) << row;
            }
            holes += has ? 1 : 0;
            before = has;
        }
        for (const int group : groups) EXPECT_EQ(group, 5) << rows;
        EXPECT_EQ(groups.size(), rows == 30 ? 5U : 10U);
        EXPECT_FALSE(rail_has_hole(rows, -1));
        EXPECT_FALSE(rail_has_hole(rows, rows));
    }
}

TEST(Board, RailsOfTheLargerBoardBreakBetweenItsMiddleGroups) {
    EXPECT_FALSE(rail_break(solderless_board(30)));
    EXPECT_FALSE(rail_break(plain_board(BoardKind::strip, 63, 4, 4)));
    const auto row = rail_break(solderless_board(63));
    ASSERT_TRUE(row);
    EXPECT_FALSE(rail_has_hole(63, *row));
    // As many holes above as below, and one next to it on either hand.
    const auto holes = [](int from, int to) {
        int count = 0;
        for (int k = from; k < to; ++k) count += rail_has_hole(63, k) ? 1 : 0;
        return count;
    };
    EXPECT_EQ(holes(0, *row), 25);
    EXPECT_EQ(holes(*row, 63), 25);
    EXPECT_TRUE(rail_has_hole(63, *row - 1) && rail_has_hole(63, *row + 1));
}

TEST(Board, SupplyRailsAreOutermost) {
    const Board board = solderless_board(63);
    for (int row = 0; row < 63; ++row) {
        for (int column = 0; column < board.columns; ++column) {
            const Hole hole{column, row};
            if (!has_hole(board, hole)) continue;
            Rail expected = Rail::none;
            if (column == 0 || column == 19) expected = Rail::supply;
            if (column == 1 || column == 18) expected = Rail::returns;
            EXPECT_EQ(rail_of(board, hole), expected) << hole_name(board, hole);
        }
    }
    for (const BoardKind kind : {BoardKind::strip, BoardKind::grid}) {
        const Board plain = plain_board(kind, 3, 9, 9);
        for (int column = 0; column < plain.columns; ++column) {
            EXPECT_EQ(rail_of(plain, {column, 1}), Rail::none) << column;
        }
    }
}

TEST(Board, SidesLieEitherSideOfTheGap) {
    for (const Board& board : boards()) {
        EXPECT_EQ(board.gap_right - board.gap_left, 3);
        for (int column = 0; column < board.columns; ++column) {
            std::optional<Side> expected;
            if (column <= board.gap_left) expected = Side::input;
            if (column >= board.gap_right) expected = Side::output;
            EXPECT_EQ(side_of(board, {column, 0}), expected) << column;
        }
    }
    const Board board = plain_board(BoardKind::strip, 7, 3, 5);
    EXPECT_EQ(board.gap_left, 2);  // three columns: 0, 1, 2
    EXPECT_EQ(board.columns, 10);  // 3 + 2 in the gap + 5
    EXPECT_EQ(board.rows, 7);
    EXPECT_EQ(board.kind, BoardKind::strip);
}

TEST(Board, ColumnLettersGoOnBeyondZ) {
    const Board board = plain_board(BoardKind::grid, 12, 40, 800);
    EXPECT_EQ(hole_name(board, {0, 0}), "A1");
    EXPECT_EQ(hole_name(board, {25, 11}), "Z12");
    EXPECT_EQ(hole_name(board, {26, 0}), "AA1");
    EXPECT_EQ(hole_name(board, {51, 1}), "AZ2");
    EXPECT_EQ(hole_name(board, {52, 1}), "BA2");
    EXPECT_EQ(hole_name(board, {701, 2}), "ZZ3");
    EXPECT_EQ(hole_name(board, {702, 2}), "AAA3");
    EXPECT_EQ(hole_named(board, "BA2"), (Hole{52, 1}));
}

TEST(Board, OtherTextsNameNoHole) {
    const char* const never[] = {"",
                                 "a",
                                 "7",
                                 "a0",
                                 "a-1",
                                 "a+1",
                                 " a1",
                                 "a1 ",
                                 "a 1",
                                 "a1x",
                                 "a1.0",
                                 "aa1",
                                 "k1",
                                 "+1",
                                 "L+",
                                 "L1",
                                 "+L1",
                                 "M+3",
                                 "L*3",
                                 "L+0",
                                 "L+x",
                                 "L++3",
                                 "L+-3",
                                 "é1",
                                 "[1",
                                 "@1",
                                 "`1",
                                 "a31",
                                 "L+31",
                                 "R-6",
                                 "a1e1",
                                 "a0x1",
                                 "L+6",
                                 "A+1",
                                 "a4294967297",
                                 "a18446744073709551617",
                                 "L+4294967297"};
    const Board board = solderless_board(30);
    for (const char* text : never) EXPECT_EQ(hole_named(board, text), std::nullopt) << text;
    for (const BoardKind kind : {BoardKind::strip, BoardKind::grid}) {
        const Board plain = plain_board(kind, 30, 3, 5);
        for (const char* text : never) EXPECT_EQ(hole_named(plain, text), std::nullopt) << text;
        for (const char* text : {"K1", "A31", "A0", "AA1", "AB1", "ZZZZZZZZZZZZZZZZ1", "A1A", "1A",
                                 "L+3", "A4294967297", "FXSHRXX1"}) {
            EXPECT_EQ(hole_named(plain, text), std::nullopt) << text;
        }
        EXPECT_TRUE(hole_named(plain, "J30"));
    }
    EXPECT_EQ(hole_named(solderless_board(63), "a63"), (Hole{4, 62}));
    EXPECT_EQ(hole_named(solderless_board(63), "a64"), std::nullopt);
}

// A hole with two names could be used twice unnoticed by whoever compares names.
TEST(Board, EachHoleHasOneNameOnly) {
    const Board solderless = solderless_board(30);
    for (const char* text : {"a07", "a007", "A7", "l+7", "L+07"}) {
        EXPECT_EQ(hole_named(solderless, text), std::nullopt) << text;
    }
    const Board grid = plain_board(BoardKind::grid, 30, 30, 5);
    for (const char* text : {"C07", "c7", "Aa1", "aA1"}) {
        EXPECT_EQ(hole_named(grid, text), std::nullopt) << text;
    }
}

}  // namespace
}  // namespace gapwright
