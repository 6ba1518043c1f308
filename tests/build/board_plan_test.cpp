// Plans of whole links, read back.
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>

#include "board/plan_board.hpp"
#include "board/read_back.hpp"
#include "build/wiring_of_link.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;

std::vector<std::string> example_files() {
    std::vector<std::string> files;
    for (const auto& entry : fs::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (entry.path().extension() == ".toml") files.push_back(entry.path());
    }
    std::ranges::sort(files);
    return files;
}

TEST(BoardPlan, OfEveryExampleReadsBack) {
    const auto files = example_files();
    ASSERT_EQ(files.size(), 6U);
    for (const auto& file : files) {
        const auto link = read_link_file(file);
        ASSERT_TRUE(link) << file;
        const Wiring wiring = wiring_of(*link);
        for (const BoardKind kind : board_kinds) {
            const auto start = std::chrono::steady_clock::now();
            const auto plan = plan_board(wiring, {.kind = kind});
            const double s =
                std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
            ASSERT_TRUE(plan) << file << plan.error().message;
            const PlanTable table = table_of(*plan, wiring);
            for (const auto& fault : read_back(table, wiring))
                ADD_FAILURE() << file << board_kind_word(kind) << fault.text;
            printf("%s %s %.3f s, %.1f pitches, %zu wires, %zu cross, %d x %d\n",
                   file.c_str() + file.rfind('/'), board_kind_word(kind).data(), s,
                   wire_length(*plan) / hole_pitch, plan->wires.size(), crossing_wires(*plan),
                   plan->board.rows, plan->board.columns);
            if (getenv("SHOW")) {
                for (auto& r : table.pins)
                    printf("  %s %s: %s\n", r.part.c_str(), r.pin.c_str(), r.hole.c_str());
                for (auto& r : table.wires)
                    printf("  %s - %s%s\n", r.from.c_str(), r.to.c_str(), r.insulated ? " !" : "");
            }
        }
    }
}

}  // namespace
}  // namespace gapwright
