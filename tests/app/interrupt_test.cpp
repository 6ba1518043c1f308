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
    for (const char* name : {"kept", "kept.card.toml"}) {
        std::ofstream(folder.path() / name) << "the user's";
    }
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
    std::filesystem::copy(PROJECT_FOLDER "/examples/clock-tower/bell-hammer.link.toml",
                          folder.path());
    std::string choose = text_of_file(folder.path() / "plain.link.toml");
    choose.replace(choose.find("10 kΩ ± 5 %"), std::string("10 kΩ ± 5 %").size(), "choose");
    std::ofstream(folder.path() / "choose.link.toml") << choose;
    std::string bus =
        text_of_file(PROJECT_FOLDER "/examples/clock-tower/speed/chime-bus.link.toml");
    bus.replace(bus.find("\"choose\""), 8, "\"1.5 kΩ ± 5 %\"");
    std::ofstream(folder.path() / "bus.link.toml") << bus;
    StartedProgram program(GetParam().arguments, folder.path());
    ASSERT_TRUE(program.hears_interrupt());
    std::this_thread::sleep_for(std::chrono::milliseconds(GetParam().waits_ms));
    const auto sent = std::chrono::steady_clock::now();
    program.send(SIGINT);
    EXPECT_EQ(program.end(), 3);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - sent;
    EXPECT_LT(took.count(), 20.0);  // a moment, on a machine that is busy and under sanitizers
    for (const char* name : {"kept", "kept.card.toml", "sheet/parts.csv"}) {
        EXPECT_EQ(text_of_file(folder.path() / name), "the user's") << name;
    }
}

std::string name_of(const testing::TestParamInfo<LongRun>& info) {
    return info.param.name;
}

const std::string proof = " plain.link.toml --samples 10000000 --timed-samples 1000000";

INSTANTIATE_TEST_SUITE_P(
    Each, LongRuns,
    testing::Values(
        LongRun{"check", "check" + proof},
        LongRun{"report", "report" + proof + " -o kept --replace"},
        LongRun{"build", "build" + proof + " --board grid -o sheet --replace"},
        LongRun{"design",
                "design choose.link.toml --samples 10000000 -o kept "
                "--replace"},
        LongRun{"bench", "bench bell-hammer.link.toml --board solderless -o kept --replace", 100},
        LongRun{"wave", "wave plain.link.toml --samples 1000000 --csv kept --replace"},
        LongRun{"sweep", "wave bus.link.toml --sweep R4"},
        LongRun{"fit", "card fit many.csv --kind led -o kept.card.toml --replace"}),
    name_of);

}  // namespace
}  // namespace gapwright::testing_support
