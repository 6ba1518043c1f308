// Boards that are too small, searches that are stopped.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "board/hole_check.hpp"
#include "board/many_wirings.hpp"
#include "board/plan_board.hpp"
#include "board/read_back.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

class BoardSizes : public ::testing::TestWithParam<BoardKind> {};

class PlainSizes : public BoardSizes {};

TEST_P(PlainSizes, OnTooSmallABoardNamesASizeThatDoes) {
    for (const auto& [name, make] : wirings) {
        SCOPED_TRACE(name);
        const Wiring wiring = make();
        const auto plan =
            plan_board(wiring, {.kind = GetParam(), .size = BoardSize{1, 5}, .starts = few_starts});
        ASSERT_FALSE(plan);
        EXPECT_FALSE(plan.error().stopped);
        EXPECT_NE(plan.error().message.find("do not fit on 1 rows of 5 holes"), std::string::npos)
            << plan.error().message;
        ASSERT_TRUE(plan.error().needs);
        const BoardSize needs = *plan.error().needs;
        const auto larger =
            plan_board(wiring, {.kind = GetParam(), .size = needs, .starts = few_starts});
        ASSERT_TRUE(larger) << larger.error().message;
        EXPECT_EQ(larger->board.rows, needs.rows);
        EXPECT_EQ(larger->board.columns, needs.columns);
        EXPECT_TRUE(HoleCheck(*larger, wiring).right());
        EXPECT_TRUE(read_back(table_of(*larger, wiring), wiring).empty());
    }
}

// The size that a plan came out with does for the same parts.
TEST_P(BoardSizes, FitsOnTheSizeThatItChose) {
    const Wiring wiring = coupler_and_transistor();
    const auto plan = plan_board(wiring, {.kind = GetParam()});
    ASSERT_TRUE(plan);
    const BoardSize size{plan->board.rows, plan->board.columns};
    const auto again = plan_board(wiring, {.kind = GetParam(), .size = size});
    ASSERT_TRUE(again) << again.error().message;
    EXPECT_EQ(again->board.rows, size.rows);
    EXPECT_EQ(again->board.columns, size.columns);
}

TEST_P(BoardSizes, StopsWhereThereIsNoPlanYet) {
    int asked = 0;
    const auto stop = [&] {
        ++asked;
        return true;
    };
    const BoardSize too_small{GetParam() == BoardKind::solderless ? 30 : 1, 5};
    const auto plan = plan_board(crowd(40), {.kind = GetParam(), .size = too_small, .stop = stop});
    ASSERT_FALSE(plan);
    EXPECT_TRUE(plan.error().stopped);
    EXPECT_FALSE(plan.error().message.empty());
    EXPECT_EQ(asked, 1) << "goes on after being told to stop";
}

// Stopped later it may give what it has, which is as right as any plan.
TEST_P(BoardSizes, GivesARightPlanWhereItIsStoppedLate) {
    const Wiring wiring = coupler_and_transistor();
    int asked = 0;
    const auto counted =
        plan_board(wiring, {.kind = GetParam(), .starts = usual_starts, .stop = [&] {
                                ++asked;
                                return false;
                            }});
    ASSERT_TRUE(counted);
    ASSERT_GT(asked, 0);
    int planned = 0;
    for (int limit = 0; limit < asked; limit += std::max(1, asked / 10)) {
        int left = limit;
        const auto plan = plan_board(
            wiring,
            {.kind = GetParam(), .starts = usual_starts, .stop = [&] { return left-- <= 0; }});
        if (!plan) {
            EXPECT_TRUE(plan.error().stopped);
            continue;
        }
        ++planned;
        EXPECT_TRUE(HoleCheck(*plan, wiring).right()) << limit;
    }
    EXPECT_GT(planned, 0);
}

INSTANTIATE_TEST_SUITE_P(Kinds, PlainSizes, ::testing::Values(BoardKind::strip, BoardKind::grid),
                         [](const auto& kind) { return std::string(board_kind_word(kind.param)); });
INSTANTIATE_TEST_SUITE_P(Kinds, BoardSizes, ::testing::ValuesIn(board_kinds),
                         [](const auto& kind) { return std::string(board_kind_word(kind.param)); });

// Far more parts than a link of the trade has, in seconds.
TEST(ManyParts, FindPlacesWithoutALongSearch) {
    WiringMaker made;
    auto last = made.node(Side::output, "supply", Rail::supply);
    for (int k = 1; k <= 60; ++k) {
        const auto next = made.node(Side::output, "n" + std::to_string(k));
        made.resistor("R" + std::to_string(k), Side::output, last, next);
        last = next;
    }
    const Wiring wiring = made.wiring();
    const auto plan = plan_board(wiring, {.kind = BoardKind::grid, .starts = few_starts});
    ASSERT_TRUE(plan) << plan.error().message;
    EXPECT_TRUE(HoleCheck(*plan, wiring).right());
    EXPECT_TRUE(read_back(table_of(*plan, wiring), wiring).empty());
}

TEST(SolderlessSizes, TakesTheLargerBoardWhereTheSmallerIsFull) {
    const Wiring wiring = crowd(20);  // forty rows
    const auto smaller =
        plan_board(wiring, {.kind = BoardKind::solderless, .size = BoardSize{30, 0}, .starts = 1});
    ASSERT_FALSE(smaller);
    EXPECT_NE(smaller.error().message.find("do not fit on a solderless board of 30 rows"),
              std::string::npos)
        << smaller.error().message;
    ASSERT_TRUE(smaller.error().needs);
    EXPECT_EQ(smaller.error().needs->rows, 63);
    const auto larger = plan_board(
        wiring, {.kind = BoardKind::solderless, .size = smaller.error().needs, .starts = 1});
    EXPECT_TRUE(larger && HoleCheck(*larger, wiring).right());
    const auto free = plan_board(wiring, {.kind = BoardKind::solderless, .starts = 1});
    ASSERT_TRUE(free);
    EXPECT_EQ(free->board.rows, 63);
    const auto unknown = plan_board(wiring, {.kind = BoardKind::solderless, .size = BoardSize{31}});
    ASSERT_FALSE(unknown);
    EXPECT_NE(unknown.error().message.find("31"), std::string::npos) << unknown.error().message;
}

TEST(SolderlessSizes, SaysWhereEvenTheLargestBoardIsTooSmall) {
    const auto plan = plan_board(crowd(33), {.kind = BoardKind::solderless, .starts = 1});
    ASSERT_FALSE(plan);
    EXPECT_NE(plan.error().message.find("63"), std::string::npos) << plan.error().message;
    EXPECT_FALSE(plan.error().needs);
}

// Thirty rows have rail holes for 25 leads on rows of their own.
TEST(SolderlessSizes, HasAHoleForEachLeadOnRails) {
    for (const int leads : {24, 26, 60}) {
        WiringMaker made;
        const auto plus = made.node(Side::input, "supply", Rail::supply);
        const auto minus = made.node(Side::input, "return", Rail::returns);
        for (int k = 0; k < leads; ++k) {
            made.leads("W" + std::to_string(k), Side::input, {k % 2 == 0 ? plus : minus});
        }
        const auto plan = plan_board(made.wiring(), {.kind = BoardKind::solderless, .starts = 1});
        if (leads == 60) {
            EXPECT_FALSE(plan);
            continue;
        }
        ASSERT_TRUE(plan) << plan.error().message;
        EXPECT_EQ(plan->board.rows, leads == 24 ? 30 : 63);
        EXPECT_TRUE(HoleCheck(*plan, made.wiring()).right());
    }
}

TEST(PlanBoardEmpty, SaysThatThereIsNothing) {
    for (const BoardKind kind : board_kinds) {
        const auto plan = plan_board({}, {.kind = kind});
        ASSERT_FALSE(plan);
        EXPECT_EQ(plan.error().message, "there are no parts to place");
    }
}

}  // namespace
}  // namespace gapwright
