// Nothing that comes from outside steers the terminal: every command over links, cards, tables,
// names of files and arguments that a stranger filled with control characters.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <pty.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "app/command_table.hpp"
#include "source/utf8.hpp"
#include "support/run_program.hpp"

namespace gapwright::testing_support {
namespace {

namespace fs = std::filesystem;

// As TOML escapes them; a name holds no blanks and no line ends.
const ForeignText hostile = {
    .title =
        R"( \u001b[2K\u001b[1A\r✓ kept\u001b]0;t\u0007\u009b32m\u0085\u202e\u2066\u2028\u007f\b\t\nFORGED)",
    .name = R"(\u001b[2K\u009b1A\u202e\u2069\u2028\u007f\u0007)",
    .cell = "\x1B[2K\r\x07\u009B2K\u202E\u2028\x7F\x08\nFORGED",
};
const std::string raw = "\x1B[2K\r\a\u009B2K\u202E\u2028\x7F\b\nFORGED\xFF\xC3";

// What is wrong with a text for a terminal; empty when nothing is.
std::string harm_in(const std::string& text) {
    for (std::size_t at = 0; at < text.size();) {
        const CodePoint c = code_point(text, at);
        if (c.bytes == 0) return "bytes that are not UTF-8 at " + std::to_string(at);
        const bool control =
            (c.value < 0x20 && c.value != '\n') || (c.value >= 0x7F && c.value <= 0x9F);
        const bool turns =
            (c.value >= 0x2028 && c.value <= 0x202E) || (c.value >= 0x2066 && c.value <= 0x2069);
        if (control || turns)
            return "U+" + std::to_string(static_cast<unsigned>(c.value)) + " at " +
                   std::to_string(at);
        at += c.bytes;
    }
    return text.starts_with("FORGED") || text.find("\nFORGED") != std::string::npos
               ? "a forged line"
               : "";
}

Outcome expect_harmless(const std::string& line, const fs::path& folder) {
    auto outcome = run_program(line, folder);
    EXPECT_EQ(harm_in(outcome.out), "") << line << "\n" << outcome.out;
    EXPECT_EQ(harm_in(outcome.err), "") << line << "\n" << outcome.err;
    EXPECT_LT(outcome.exit_status, 4) << line << outcome.err;
    EXPECT_GE(outcome.exit_status, 0) << line;
    return outcome;
}

class Terminal : public testing::Test {
  protected:
    Terminal() { make_scene(folder_.path(), hostile); }
    ScratchFolder folder_;
};

class TerminalOf : public Terminal, public testing::WithParamInterface<std::string> {};

std::string number_of(const testing::TestParamInfo<std::string>& info) {
    return std::to_string(info.index);
}
INSTANTIATE_TEST_SUITE_P(Each, TerminalOf, testing::ValuesIn(all_lines()), number_of);

TEST_P(TerminalOf, ACommandIsNotSteeredByFiles) {
    const std::string& line = GetParam();
    const auto told = expect_harmless(line, folder_.path());
    // These end before they show any of it, or have nothing of it to show.
    for (const char* silent : {"open", "card sweep", "card trace", "report"}) {
        if (line.starts_with(silent)) return;
    }
    EXPECT_NE((told.out + told.err).find("\\x1b[2K"), std::string::npos)
        << line << ": what is hostile was not shown at all";
}

TEST_P(TerminalOf, ACommandGetsJsonThatIsJson) {
    const std::string line = GetParam() + " --json";
    if (line.find("--enter") != std::string::npos || line.starts_with("report")) return;
    const auto outcome = run_program(line, folder_.path());
    EXPECT_EQ(harm_in(outcome.out), "") << line << "\n" << outcome.out;
    EXPECT_TRUE(nlohmann::json::accept(outcome.out)) << line << outcome.out << outcome.err;
}

TEST_F(Terminal, IsNotSteeredByFilesThatAreWrong) {
    std::ofstream(folder_.path() / "bad.link.toml")
        << text_of_file(folder_.path() / "plain.link.toml") << raw;
    const std::string good = text_of_file(folder_.path() / "plain.link.toml");
    std::ofstream(folder_.path() / "unknown.link.toml")
        << good.substr(0, good.find("[states]")) << "\"no" << hostile.name << "\" = {}\n"
        << "[states]\n\"s" << hostile.title << "\" = { \"S9" << hostile.title
        << "\" = \"closed\" }\n";
    std::ofstream(folder_.path() / "bad.csv") << "kind,value" << raw << "\nstate" << raw;
    std::ofstream(folder_.path() / "bad.card.toml") << "kind = \"" << hostile.title << "\"\n";
    for (const char* line :
         {"check bad.link.toml", "check unknown.link.toml", "report unknown.link.toml -o x",
          "design unknown.link.toml", "wave unknown.link.toml", "build unknown.link.toml",
          "bench unknown.link.toml", "check unknown.link.toml --json",
          "bench small.link.toml --readings bad.csv", "bench small.link.toml --plan bad.csv",
          "build plain.link.toml --samples 20 --drawer bad.csv", "card fit bad.csv --kind led",
          "build plain.link.toml --samples 20 --plan bad.csv", "card show bad.card.toml",
          "card check bad.card.toml",
          "card trace bad.csv --x a --x-mark b --y c --y-mark d --curve e",
          "card sweep lamp.card.toml --supply tcp:127.0.0.1:9 --commands bad.card.toml"}) {
        expect_harmless(line, folder_.path());
    }
}

TEST_F(Terminal, IsNotSteeredByNamesOfFiles) {
    const std::string link = "evil" + raw + ".link.toml";
    const std::string card = "evil" + raw + ".card.toml";
    const std::string untitled = "untitled" + raw + ".link.toml";
    fs::copy(folder_.path() / "small.link.toml", folder_.path() / link);
    fs::copy(folder_.path() / "lamp.card.toml", folder_.path() / card);
    const std::string text = text_of_file(folder_.path() / "plain.link.toml");
    std::ofstream(folder_.path() / untitled) << text.substr(text.find('\n') + 1);
    const std::string q = "'";
    for (const std::string& line :
         {"check " + q + link + q + " --nominal",
          "check " + q + untitled + q + " --nominal",
          "check " + q + untitled + q + " --nominal --json",
          "check " + q + raw + q,
          "check " + q + raw + q + " --json",
          "bench " + q + link + q + " --readings readings.csv --record",
          "report " + q + link + q + " --samples 20 -o " + q + raw + q,
          "report plain.link.toml --samples 20 -o " + q + raw + "/x" + q,
          "design open.link.toml --samples 20 -o " + q + raw + ".toml" + q,
          "wave " + q + link + q,
          "wave " + q + untitled + q,
          "wave " + q + untitled + q + " --sweep R1",
          "build " + q + untitled + q + " --board grid --starts 1 --samples 20",
          "bench " + q + untitled + q,
          "card show " + q + card + q,
          "card check " + q + card + q,
          "card compare " + q + card + q + " lamp.card.toml",
          "card fit points.csv --based-on " + q + card + q + " -o " + q + raw + ".card.toml" + q,
          "card fit " + q + raw + ".csv" + q,
          "card trace " + q + raw + q + " --x a --x-mark b --y c --y-mark d --curve e",
          "card sweep " + q + raw + q + " --supply tcp:127.0.0.1:9",
          "open " + q + raw + q}) {
        expect_harmless(line, folder_.path());
    }
}

TEST_F(Terminal, IsNotSteeredByArguments) {
    const std::string q = " '" + raw + "' ";
    const std::string link = " plain.link.toml ";
    const std::string small = " small.link.toml ";
    for (const std::string& line :
         std::vector<std::string>{q,
                                  "--" + raw.substr(0, 4),
                                  "check --samples" + q + link,
                                  "check --nosuch'" + raw + "'" + link,
                                  "check" + link + "--temperature" + q,
                                  "wave" + link + "--change" + q,
                                  "wave" + link + "--change 'on>" + raw + "'",
                                  "wave" + link + "--disturbed" + q,
                                  "wave" + link + "--sweep" + q,
                                  "wave" + link + "--until" + q,
                                  "build" + link + "--board" + q,
                                  "build" + link + "--samples 20 --size" + q,
                                  "build" + link + "--samples 20 --drawer" + q,
                                  "build" + link + "--samples 20 --plan" + q,
                                  "bench" + small + "--age" + q,
                                  "bench" + small + "--light" + q,
                                  "bench" + small + "--temperature" + q,
                                  "bench" + small + "--readings" + q,
                                  "bench" + small + "--plan" + q,
                                  "bench" + small + "--readings readings.csv --record --who" + q,
                                  "design open.link.toml --samples" + q,
                                  "design" + q,
                                  "report" + link + "--svg" + q + "--seed" + q,
                                  "card show" + q,
                                  "card check" + q,
                                  "card compare" + q + q,
                                  "card fit points.csv --kind" + q,
                                  "card fit points.csv --kind led --at" + q,
                                  "card fit points.csv --kind led --at 'temperature=" + raw + "'",
                                  "card fit points.csv --kind led --limits 'forward=" + raw + "'",
                                  "card fit points.csv --kind led --limits '" + raw + "=1 V'",
                                  "card fit points.csv --kind led --name" + q + "--source" + q,
                                  "card trace chart.png --x" + q + "--x-mark" + q + "--y" + q +
                                      "--y-mark" + q + "--curve" + q,
                                  "card sweep lamp.card.toml --supply" + q,
                                  "card sweep lamp.card.toml --supply tcp:127.0.0.1:9 --to" + q,
                                  "card sweep lamp.card.toml --supply 'tcp:" + raw + "'",
                                  "open --port" + q,
                                  "open" + q}) {
        expect_harmless(line, folder_.path());
    }
}

// The program at a terminal of its own: what that terminal gets. It is ended by Ctrl-C once it says
// how far it is.
std::string at_terminal(const std::string& arguments, const fs::path& folder) {
    int ours = -1;
    int theirs = -1;
    termios plain = {};
    cfmakeraw(&plain);
    if (openpty(&ours, &theirs, nullptr, &plain, nullptr) != 0) return "no terminal";
    const std::string command =
        "unset NO_COLOR; cd '" + folder.string() + "' && exec " PROGRAM " </dev/null " + arguments;
    const pid_t child = fork();
    if (child == 0) {
        dup2(theirs, STDOUT_FILENO);
        dup2(theirs, STDERR_FILENO);
        close(ours);
        close(theirs);
        execl("/bin/sh", "sh", "-c", command.c_str(), nullptr);
        _exit(127);
    }
    close(theirs);
    std::string got;
    std::array<char, 4096> block = {};
    for (ssize_t n = 0; (n = read(ours, block.data(), block.size())) > 0;) {
        got.append(block.data(), static_cast<std::size_t>(n));
        if (got.find("\x1B[K") != std::string::npos) kill(child, SIGINT);
    }
    close(ours);
    waitpid(child, nullptr, 0);
    return got;
}

std::size_t take_out(std::string& text, const std::string& what) {
    std::size_t count = 0;
    for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; ++count) {
        text.erase(at, what.size());
    }
    return count;
}

// A progress line: back to the line's start, the words if any, the rest of the line cleared.
std::size_t take_out_progress(std::string& text) {
    std::size_t count = 0;
    for (std::size_t at = 0; (at = text.find('\r', at)) != std::string::npos; ++count) {
        const auto end = text.find("\x1B[K", at);
        if (end == std::string::npos) break;
        if (text.substr(at, end - at).find('\n') != std::string::npos) break;
        text.erase(end, 3);
        text.erase(at, 1);
    }
    return count;
}

TEST_P(TerminalOf, ACommandGetsTheProgramsOwnColoursAndNoOthers) {
    std::string got = at_terminal(GetParam(), folder_.path());
    for (const char* own : {"\x1B[32m", "\x1B[33m", "\x1B[31m", "\x1B[1m", "\x1B[0m"}) {
        take_out(got, own);
    }
    take_out_progress(got);
    EXPECT_EQ(harm_in(got), "") << GetParam() << "\n" << got;
}

TEST_F(Terminal, GetsColoursAndHowFarLongWorkIs) {
    std::string got =
        at_terminal("check plain.link.toml --samples 10000000 --timed-samples 2", folder_.path());
    std::size_t begun = take_out(got, "\x1B[1m");
    EXPECT_GE(begun, 3U);  // headings
    for (const char* verdict : {"\x1B[32m", "\x1B[33m", "\x1B[31m"})
        begun += take_out(got, verdict);
    EXPECT_EQ(take_out(got, "\x1B[0m"), begun);
    EXPECT_GE(take_out_progress(got), 2U);
    EXPECT_EQ(harm_in(got), "") << got;
}

// A card's name is all that stands in front of the verdict, so the verdict is what it is.
TEST_F(Terminal, ShowsTheVerdictWhateverTheTitle) {
    std::string text = text_of_file(folder_.path() / "plain.link.toml");
    text.replace(text.find("0.8 V"), 5, "0.1 mV");
    std::ofstream(folder_.path() / "broken.link.toml") << text;
    const auto outcome = run_program("check broken.link.toml --samples 20", folder_.path());
    EXPECT_EQ(outcome.exit_status, 1);
    EXPECT_NE(outcome.out.substr(0, outcome.out.find('\n')).find(": ✗ broken"), std::string::npos)
        << outcome.out;
}

}  // namespace
}  // namespace gapwright::testing_support
