// Plans as files: written, read, refused.
#include <gtest/gtest.h>

#include "board/plan_board.hpp"
#include "board/read_back.hpp"
#include "build/plan_file.hpp"
#include "build/wiring_of_link.hpp"

namespace gapwright {
namespace {

Link bell_hammer() {
    return *read_link_file(PROJECT_FOLDER "/examples/clock-tower/bell-hammer.link.toml");
}

Expected<PlanTable> read(const std::string& text) {
    return read_plan_csv(std::make_shared<const SourceText>("plan.csv", text));
}

TEST(PlanFile, ReadsBackWhatWasWritten) {
    const Wiring wiring = wiring_of(bell_hammer());
    for (const BoardKind kind : board_kinds) {
        const auto plan = plan_board(wiring, {.kind = kind, .starts = 4});
        ASSERT_TRUE(plan);
        const std::string csv = plan_csv(*plan, wiring);
        const auto table = read(csv);
        ASSERT_TRUE(table) << to_text(table.error());
        EXPECT_EQ(table->board, plan->board);
        EXPECT_TRUE(read_back(*table, wiring).empty());
        EXPECT_EQ(plan_csv(plan_of(*table, wiring), wiring), csv);
    }
}

TEST(PlanFile, RefusesWhatIsNoPlan) {
    const std::string header = "item,name,pin,hole,to,node,length\n";
    const auto cause = [&](const std::string& text) {
        const auto table = read(text);
        return table ? std::string("read") : std::string(cause_name(table.error().front().cause));
    };
    EXPECT_EQ(cause("kind,value\nresistor,1\n"), "unknown-key");
    EXPECT_EQ(cause(header), "missing-key");
    EXPECT_EQ(cause(header + "board,grid,,A1,F4,,\n"), "missing-key");
    EXPECT_EQ(cause(header + "board,wood,,A1,F4,,\ngap,,,B1,E1,,\n"), "unknown-name");
    EXPECT_EQ(cause(header + "board,grid,,A1,x,,\ngap,,,B1,E1,,\n"), "out-of-range");
    EXPECT_EQ(cause(header + "board,grid,,A1,F4,,\ngap,,,B1,D1,,\n"), "out-of-range");
    EXPECT_EQ(cause(header + "board,solderless,,a1,j29,,\ngap,,,e1,f1,,\n"), "out-of-range");
    EXPECT_EQ(cause(header + "board,grid,,A1,F4,,\ngap,,,B1,E1,,\nnail,,,A1,,,\n"), "unknown-name");
    EXPECT_EQ(cause(header + "board,grid,,A1,F4,,\ngap,,,B1,E1,,\n"), "read");
}

// Two holes of different sides, in any plan, joined by a wire: refused, both named.
TEST(PlanFile, ABridgeIsRefusedWithItsTwoHoles) {
    const Wiring wiring = wiring_of(bell_hammer());
    for (const BoardKind kind : board_kinds) {
        const auto plan = plan_board(wiring, {.kind = kind, .starts = 4});
        const int row = plan->board.rows - 1;
        const std::string left = hole_name(plan->board, {plan->board.gap_left, row});
        const std::string right = hole_name(plan->board, {plan->board.gap_right, row});
        const auto table =
            read(plan_csv(*plan, wiring) + "wire,W99,," + left + "," + right + ",,\r\n");
        ASSERT_TRUE(table);
        const auto faults = read_back(*table, wiring);
        ASSERT_FALSE(faults.empty());
        EXPECT_EQ(faults[0].kind, BoardFault::Kind::bridged);
        EXPECT_EQ(faults[0].holes, (std::vector<std::string>{left, right}));
    }
}

}  // namespace
}  // namespace gapwright
