// `gapwright card sweep` against the simulated bench on loopback: the program as people run it,
// Ctrl-C, a kill and a closed terminal among it.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <fstream>
#include <string>
#include <thread>

#include "support/run_program.hpp"

namespace gapwright::testing_support {
namespace {

// The simulated bench as a child: its ports, and the truth about its output.
class Bench {
  public:
    explicit Bench(const std::vector<std::string>& options = {}) {
        std::array<int, 2> in = {};
        std::array<int, 2> out = {};
        if (pipe(in.data()) != 0 || pipe(out.data()) != 0) return;
        child_ = fork();
        if (child_ == 0) {
            dup2(in[0], STDIN_FILENO);
            dup2(out[1], STDOUT_FILENO);
            for (const int end : {in[0], in[1], out[0], out[1]}) close(end);
            std::vector<std::string> words = {SIMULATED_BENCH};
            words.insert(words.end(), options.begin(), options.end());
            std::vector<char*> arguments;
            for (auto& word : words) arguments.push_back(word.data());
            arguments.push_back(nullptr);
            execv(SIMULATED_BENCH, arguments.data());
            _exit(127);
        }
        close(in[0]);
        close(out[1]);
        in_ = in[1];
        out_ = out[0];
        supply_ = "127.0.0.1:" + word_after("supply ");
        meter_ = "127.0.0.1:" + word_after("meter ");
        feed_ = "127.0.0.1:" + word_after("feed ");
    }
    Bench(const Bench&) = delete;
    Bench& operator=(const Bench&) = delete;
    ~Bench() {
        close(in_);
        close(out_);
        waitpid(child_, nullptr, 0);
    }

    const std::string& supply() const { return supply_; }
    const std::string& meter() const { return meter_; }
    const std::string& feed() const { return feed_; }

    bool output_is_on() {
        EXPECT_EQ(write(in_, "output\n", 7), 7);
        const std::string truth = word_after("output ");
        EXPECT_TRUE(truth == "on" || truth == "off") << truth;
        return truth != "off";
    }

  private:
    std::string word_after(const std::string& start) {
        std::string line;
        char letter = 0;
        while (read(out_, &letter, 1) == 1 && letter != '\n') line += letter;
        EXPECT_TRUE(line.starts_with(start)) << line;
        return line.substr(std::min(start.size(), line.size()));
    }

    pid_t child_ = -1;
    int in_ = -1;
    int out_ = -1;
    std::string supply_;
    std::string meter_;
    std::string feed_;
};

std::string sweep(const Bench& bench, const std::string& more) {
    return "card sweep red-led --supply " + bench.supply() + " --meter " + bench.meter() +
           " --to '20 mA' " + more;
}

TEST(SweepCommand, ThirtyPointsIntoAFileAndTheOutputIsOff) {
    Bench bench;
    const ScratchFolder folder;
    const auto file = folder.path() / "points.csv";
    const auto outcome = run_program(
        sweep(bench, "--points 30 --settle '5 ms' -o " + file.string()), PROJECT_FOLDER);
    EXPECT_EQ(outcome.exit_status, 0) << outcome.err;
    EXPECT_FALSE(bench.output_is_on());
    const std::string points = text_of_file(file);
    EXPECT_EQ(std::ranges::count(points, '\n'), 31) << points;
    const auto fit = run_program("card fit " + file.string() + " --kind led", PROJECT_FOLDER);
    EXPECT_EQ(fit.exit_status, 0) << fit.err;
}

TEST(SweepCommand, PointsGoToStandardOutputOrReplaceAFileWhereThatIsAskedFor) {
    const ScratchFolder folder;
    const auto file = folder.path() / "points.csv";
    std::ofstream(file) << "the user's";
    Bench bench;
    const std::string line = sweep(bench, "--points 2 --settle '1 ms' -o ");
    EXPECT_EQ(run_program(line + file.string(), PROJECT_FOLDER).exit_status, 2);
    EXPECT_EQ(text_of_file(file), "the user's");
    const auto out = run_program(line + "-", PROJECT_FOLDER);
    EXPECT_EQ(out.exit_status, 0) << out.err;
    EXPECT_EQ(std::ranges::count(out.out, '\n'), 3) << out.out;
    EXPECT_NE(out.err.find("Points"), std::string::npos) << out.err;
    EXPECT_EQ(run_program(line + file.string() + " --replace", PROJECT_FOLDER).exit_status, 0);
    EXPECT_EQ(std::ranges::count(text_of_file(file), '\n'), 3);
}

// Whatever ends the program, the output is off when it is gone.
class SweepCommandEnded : public testing::TestWithParam<int> {};

TEST_P(SweepCommandEnded, LeavesTheOutputOff) {
    Bench bench;
    const ScratchFolder folder;
    const auto file = folder.path() / "points.csv";
    std::ofstream(file) << "the user's";
    const std::string command =
        std::string("exec ") + PROGRAM + " " +
        sweep(bench, "--points 30 --settle '200 ms' --replace -o " + file.string()) +
        " > /dev/null 2> /dev/null";
    const pid_t child = fork();
    if (child == 0) {
        // A shell's background jobs do not hear Ctrl-C; this one is meant to.
        std::signal(SIGINT, SIG_DFL);
        execl("/bin/sh", "sh", "-c", command.c_str(), nullptr);
        _exit(127);
    }
    const auto begin = std::chrono::steady_clock::now();
    while (!bench.output_is_on()) {
        ASSERT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(30));
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
    }
    kill(child, GetParam());
    int status = 0;
    waitpid(child, &status, 0);
    ASSERT_TRUE(WIFEXITED(status));
    EXPECT_EQ(WEXITSTATUS(status), 3);
    EXPECT_FALSE(bench.output_is_on());
    EXPECT_EQ(text_of_file(file), "the user's");  // a run that was stopped replaces nothing
}

INSTANTIATE_TEST_SUITE_P(Signals, SweepCommandEnded, testing::Values(SIGINT, SIGTERM, SIGHUP));

TEST(SweepCommand, NothingIsSentBeyondTheCardsLimits) {
    Bench bench;
    const auto outcome = run_program(
        "card sweep red-led --supply " + bench.supply() + " --to '40 mA'", PROJECT_FOLDER);
    EXPECT_EQ(outcome.exit_status, 2);
    EXPECT_NE(outcome.err.find("30 mA"), std::string::npos) << outcome.err;
    EXPECT_FALSE(bench.output_is_on());
}

TEST(SweepCommand, ASupplyOfOneMilliampereWorksWithTheDefaults) {
    Bench bench({"--step", "0.001"});
    const ScratchFolder folder;
    const auto file = folder.path() / "points.csv";
    const std::string line = "card sweep red-led --supply " + bench.supply() + " --meter " +
                             bench.meter() + " --settle '1 ms' ";
    const auto outcome = run_program(line + "-o " + file.string(), PROJECT_FOLDER);
    EXPECT_EQ(outcome.exit_status, 0) << outcome.err;
    EXPECT_NE(outcome.out.find("they begin at 1 mA"), std::string::npos) << outcome.out;
    EXPECT_NE(outcome.out.find("in steps of 1 mA"), std::string::npos) << outcome.out;
    const std::string points = text_of_file(file);
    EXPECT_TRUE(points.starts_with("forward_current (mA),forward_voltage (V),uncertainty (%)"))
        << points;
    EXPECT_NE(points.find("\n1,"), std::string::npos) << points;
    EXPECT_EQ(run_program("card fit " + file.string() + " --kind led", PROJECT_FOLDER).exit_status,
              0);

    // Where less is asked for, it is told what to ask for; and that works.
    const auto less = run_program(line + "--from '0.2 mA' --to '10 mA'", PROJECT_FOLDER);
    EXPECT_EQ(less.exit_status, 3);
    EXPECT_NE(less.err.find("--from \"1 mA\""), std::string::npos) << less.err;
    EXPECT_FALSE(bench.output_is_on());
    const auto told = run_program(line + "--from '1 mA' --to '10 mA'", PROJECT_FOLDER);
    EXPECT_EQ(told.exit_status, 0) << told.err;
}

TEST(SweepCommand, ACouplersTransferIntoACard) {
    Bench bench({"--fed", "--shunt", "100"});
    const ScratchFolder folder;
    const auto file = folder.path() / "points.csv";
    const auto outcome = run_program(
        "card sweep four-pin-coupler-b --supply " + bench.supply() + " --meter " + bench.meter() +
            " --feed " + bench.feed() +
            " --shunt '100 Ω ± 1 %' --to '15 mA' --points 8 --settle '1 ms' -o " + file.string(),
        PROJECT_FOLDER);
    EXPECT_EQ(outcome.exit_status, 0) << outcome.err;
    EXPECT_NE(outcome.out.find("the second supply's output is off"), std::string::npos);
    EXPECT_NE(outcome.err.find("no wire in common"), std::string::npos) << outcome.err;
    EXPECT_FALSE(bench.output_is_on());
    EXPECT_NE(text_of_file(file).find("collector_emitter_voltage (V),collector_current (mA)"),
              std::string::npos);
    const auto fit = run_program(
        "card fit " + file.string() + " --based-on four-pin-coupler-b --json", PROJECT_FOLDER);
    EXPECT_EQ(fit.exit_status, 0) << fit.err;
    EXPECT_NE(fit.out.find("\"ctr\""), std::string::npos);
}

TEST(SweepCommand, OneSupplyDoesNotServeAsTwo) {
    Bench bench({"--fed", "--shunt", "100"});
    const auto outcome =
        run_program("card sweep four-pin-coupler-b --supply " + bench.supply() + " --meter " +
                        bench.meter() + " --feed tcp:" + bench.supply() + " --shunt '100 Ω'",
                    PROJECT_FOLDER);
    EXPECT_EQ(outcome.exit_status, 2);
    EXPECT_NE(outcome.err.find("has another task already"), std::string::npos) << outcome.err;
    EXPECT_FALSE(bench.output_is_on());
}

TEST(SweepCommand, LateAnswersAreToldWithWhatToRaise) {
    Bench bench({"--slow-by", "0.5"});
    const auto late =
        run_program(sweep(bench, "--points 2 --answer-time '300 ms'"), PROJECT_FOLDER);
    EXPECT_EQ(late.exit_status, 3);
    EXPECT_NE(late.err.find("answers come late"), std::string::npos) << late.err;
    const auto at = late.err.find("--answer-time \"");
    ASSERT_NE(at, std::string::npos) << late.err;
    const std::string raised = late.err.substr(at, late.err.find("\n", at) - at);
    const auto patient =
        run_program(sweep(bench, "--points 2 --settle '1 ms' " + raised), PROJECT_FOLDER);
    EXPECT_EQ(patient.exit_status, 0) << raised << "\n" << patient.err;
    EXPECT_FALSE(bench.output_is_on());
}

TEST(SweepCommand, ASimulatedBenchSaysSoEverywhere) {
    const ScratchFolder folder;
    const auto file = folder.path() / "points.csv";
    const std::string line = "card sweep red-led --supply demo --specimen 4 --points 4 ";
    const auto outcome = run_program(line + "-o " + file.string(), folder.path());
    EXPECT_EQ(outcome.exit_status, 0) << outcome.err;
    EXPECT_TRUE(outcome.out.starts_with("SIMULATED")) << outcome.out;
    EXPECT_TRUE(outcome.err.starts_with("SIMULATED")) << outcome.err;
    EXPECT_NE(outcome.err.find("4 simulated points are written"), std::string::npos) << outcome.err;
    EXPECT_NE(text_of_file(file).find(",4,simulated"), std::string::npos) << text_of_file(file);
    const auto json = run_program(line + "--json", folder.path());
    EXPECT_NE(json.out.find("\"simulated\": true"), std::string::npos) << json.out;
    EXPECT_EQ(
        run_program("card fit points.csv --kind led -o of-it.card.toml", folder.path()).exit_status,
        0);
    EXPECT_NE(text_of_file(folder.path() / "of-it.card.toml").find("(simulated)"),
              std::string::npos);
    // A bench is simulated as a whole.
    for (const char* mixed : {"--supply demo --meter 127.0.0.1:9",
                              "--supply 127.0.0.1:9 --meter "
                              "demo",
                              "--supply demo --feed 127.0.0.1:9"}) {
        const auto refused = run_program(std::string("card sweep red-led ") + mixed, folder.path());
        EXPECT_EQ(refused.exit_status, 2) << mixed;
    }
}

TEST(SweepCommand, ALostConnectionIsToldAndTheOutputTakenOff) {
    Bench bench({"--mishap", "drop_unheard:supply:20"});
    const auto outcome = run_program(sweep(bench, "--settle '5 ms'"), PROJECT_FOLDER);
    EXPECT_EQ(outcome.exit_status, 3) << outcome.out << outcome.err;
    EXPECT_FALSE(outcome.err.empty());
    EXPECT_FALSE(bench.output_is_on());
}

}  // namespace
}  // namespace gapwright::testing_support
