// Ctrl-C while a command works: it is heard wherever it comes, the command ends soon and says so,
// and a run that was stopped replaces nothing.
#include <gtest/gtest.h>

#include <chrono>
#include <csignal>
#include <fstream>
#include <ostream>
#include <thread>

#include "app/command_table.hpp"
#include "app/started_program.hpp"
#include "support/run_program.hpp"

namespace gapwright::testing_support {
namespace {

struct LongRun {
    std::string name;
    std::string arguments;  // work for a minute and more, and an output "kept" that is there
    int waits_ms = 300;     // after it is ready to hear, so that it is at work
};

std::ostream& operator<<(std::ostream& out, const LongRun& run) {
    return out << run.name;
}

class LongRuns : public testing::TestWithParam<LongRun> {};

TEST_P(LongRuns, HearCtrlCAndReplaceNothing) {
    const ScratchFolder folder;
    make_scene(folder.path());
    const auto kept = folder.path() / "kept.card.toml";
    std::ofstream(kept) << "the user's";
    std::filesystem::create_directory(folder.path() / "sheet");
    std::ofstream(folder.path() / "sheet/parts.csv") << "the user's";
    {
        std::ofstream points(folder.path() / "many.csv");
        points << "forward_current (mA),forward_voltage (V),specimen\n";
        for (int s = 0; s < 3000; ++s) {
            for (const char* point : {"0.5,1.72", "1,1.76", "5,1.88", "20,2.02"}) {
                points << point << ',' << s << '\n';
            }
        }
    }
    StartedProgram program(GetParam().arguments, folder.path());
    ASSERT_TRUE(program.hears_interrupt());
    std::this_thread::sleep_for(std::chrono::milliseconds(GetParam().waits_ms));
    const auto sent = std::chrono::steady_clock::now();
    program.send(SIGINT);
    EXPECT_EQ(program.end(), 3);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - sent;
    EXPECT_LT(took.count(), 20.0);  // a moment, on a machine that is busy and under sanitizers
    EXPECT_EQ(text_of_file(kept), "the user's");
    EXPECT_EQ(text_of_file(folder.path() / "sheet/parts.csv"), "the user's");
}

std::string name_of(const testing::TestParamInfo<LongRun>& info) {
    return info.param.name;
}

const std::string proof = " plain.link.toml --samples 10000000 --timed-samples 1000000";

INSTANTIATE_TEST_SUITE_P(
    Each, LongRuns,
    testing::Values(
        LongRun{"check", "check" + proof},
        LongRun{"report", "report" + proof + " -o kept.card.toml --replace"},
        LongRun{"build", "build" + proof + " --board grid -o sheet --replace"},
        LongRun{"design",
                "design open.link.toml --samples 10000000 --proof-time 3600 -o kept.card.toml "
                "--replace"},
        LongRun{"bench", "bench plain.link.toml --board solderless -o kept.card.toml --replace",
                100},
        LongRun{"wave", "wave plain.link.toml --samples 1000000 --csv kept.card.toml --replace"},
        LongRun{"sweep", "wave plain.link.toml --sweep R1"},
        LongRun{"fit", "card fit many.csv --kind led -o kept.card.toml --replace"}),
    name_of);

}  // namespace
}  // namespace gapwright::testing_support
