// No command loses a file of the user's: what is read is never written over, what is there is
// replaced with --replace alone, and "-" is standard output.
#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <thread>

#include "app/command_table.hpp"
#include "app/started_program.hpp"
#include "support/run_program.hpp"

namespace gapwright::testing_support {
namespace {

namespace fs = std::filesystem;

using Files = std::map<std::string, std::string>;

Files files_of(const fs::path& folder) {
    Files files;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) files[entry.path().string()] = text_of_file(entry.path());
    }
    return files;
}

// One command in a scene of its own.
class WritingCommands : public testing::TestWithParam<WritingCommand> {
  protected:
    WritingCommands() { make_scene(folder_.path()); }

    Outcome run(const std::string& more) const {
        return run_program(GetParam().arguments + " " + more, folder_.path());
    }
    fs::path at(const std::string& name) const { return folder_.path() / name; }
    void write(const fs::path& path, const std::string& text) const {
        std::ofstream(path, std::ios::binary) << text;
    }
    // Not a fault that would hide what is tested.
    static bool ran(const Outcome& outcome) {
        return outcome.exit_status == 0 || outcome.exit_status == 1;
    }

    ScratchFolder folder_;
};

TEST_P(WritingCommands, ReplaceAFileWithReplaceAlone) {
    for (const auto& output : GetParam().outputs) {
        if (output.folder) continue;
        const std::string line = output.option + " " + output.name;
        write(at(output.name), "the user's");
        const auto refused = run(line);
        EXPECT_EQ(refused.exit_status, 2) << line;
        EXPECT_EQ(text_of_file(at(output.name)), "the user's") << line;
        EXPECT_NE(refused.err.find(output.name + " is there already"), std::string::npos)
            << refused.err;
        EXPECT_NE(refused.err.find("add --replace"), std::string::npos) << refused.err;
        if (!GetParam().runs) continue;
        const auto replaced = run(line + " --replace");
        EXPECT_TRUE(ran(replaced)) << line << replaced.err;
        EXPECT_NE(text_of_file(at(output.name)), "the user's") << line;
        fs::remove(at(output.name));
    }
}

TEST_P(WritingCommands, ReplaceFilesOfAFolderWithReplaceAlone) {
    std::string line;
    std::vector<std::string> folders;
    for (const auto& output : GetParam().outputs) {
        if (!output.folder) continue;
        folders.push_back("sheets/" + output.option);
        line += output.option + " " + folders.back() + " ";
    }
    if (folders.empty()) return;
    const auto first = run(line);
    ASSERT_TRUE(ran(first)) << line << first.err;
    const Files written = files_of(at("sheets"));
    const auto again = run(line);
    EXPECT_EQ(again.exit_status, first.exit_status) << line << again.err;  // all the same

    if (written.size() < 2) return;  // of one file none can be left behind

    const std::string gone = written.begin()->first;
    fs::remove(gone);
    std::vector<std::string> changed;  // one in each folder that has another
    for (const auto& folder : folders) {
        const Files files = files_of(at(folder));
        if (files.empty()) continue;
        changed.push_back(files.rbegin()->first);
        write(changed.back(), "the user's");
    }
    ASSERT_GE(changed.size(), 2U);
    const auto refused = run(line);
    EXPECT_EQ(refused.exit_status, 2) << line;
    EXPECT_FALSE(fs::exists(gone)) << "all or nothing: " << line;
    for (const auto& file : changed) {
        EXPECT_EQ(text_of_file(file), "the user's") << line;
        EXPECT_NE(refused.err.find(fs::path(file).filename().string()), std::string::npos)
            << refused.err;
    }
    EXPECT_EQ(run(line + " --replace").exit_status, first.exit_status) << line;
    EXPECT_EQ(files_of(at("sheets")), written) << line;
}

TEST_P(WritingCommands, NeverWriteOverWhatTheyRead) {
    for (const auto& output : GetParam().outputs) {
        if (output.folder) continue;
        for (const auto& input : GetParam().inputs) {
            const std::string before = text_of_file(at(input));
            const std::string link = "link-" + output.name;
            fs::create_symlink(input, at(link));
            for (const auto& name : {input, "./" + input + " --replace", link + " --replace"}) {
                const auto refused = run(output.option + " " + name);
                EXPECT_EQ(refused.exit_status, 2) << output.option << " " << name;
                EXPECT_EQ(text_of_file(at(input)), before) << output.option << " " << name;
                if (name.starts_with(input)) continue;  // there already, or of a wrong ending
                EXPECT_TRUE(refused.err.find("is read by this run") != std::string::npos ||
                            refused.err.find("does not end with") != std::string::npos)
                    << refused.err;
            }
            fs::remove(at(link));
        }
    }
}

TEST_P(WritingCommands, WriteToStandardOutput) {
    for (const auto& output : GetParam().outputs) {
        if (!GetParam().runs) continue;
        const auto outcome = run(output.option + " -");
        if (output.folder) {
            EXPECT_EQ(outcome.exit_status, 2) << output.option;
            EXPECT_NE(outcome.err.find("names a folder"), std::string::npos) << outcome.err;
            continue;
        }
        const auto named = run(output.option + " " + output.name);
        EXPECT_EQ(outcome.exit_status, named.exit_status) << output.option;
        std::string expected = text_of_file(at(output.name));
        EXPECT_FALSE(expected.empty());
        if (GetParam().command == "card fit") {  // where a name comes from that of the file
            expected =
                std::regex_replace(expected, std::regex("name = \"new\""), "name = \"unnamed\"");
        }
        EXPECT_EQ(outcome.out, expected) << output.option;
        EXPECT_FALSE(outcome.err.empty()) << output.option;
        EXPECT_FALSE(fs::exists(at("-")));
        fs::remove(at(output.name));
        const auto both = run(output.option + " - --json");
        EXPECT_EQ(both.exit_status, 2) << output.option;
    }
}

std::string name_of(const testing::TestParamInfo<WritingCommand>& info) {
    std::string name = info.param.command + std::to_string(info.index);
    std::erase(name, ' ');
    return name;
}

INSTANTIATE_TEST_SUITE_P(Each, WritingCommands, testing::ValuesIn(writing_commands()), name_of);

// The names of the commands below one, "" for the program, as its --help lists them.
std::vector<std::string> commands_of(const std::string& command) {
    std::istringstream help(run_program(command + " --help", PROJECT_FOLDER).out);
    std::vector<std::string> names;
    bool listed = false;
    for (std::string line; std::getline(help, line);) {
        if (line.starts_with("Subcommands")) listed = true;
        if (line.empty()) listed = false;
        std::smatch found;
        if (listed && std::regex_match(line, found, std::regex("  ([a-z]+) .*"))) {
            names.push_back(found[1]);
        }
    }
    return names;
}

// A new command, or a new option of one, has to say in the table what it writes.
TEST(CommandTable, KnowsEveryOptionThatTakesAText) {
    const std::set<std::string> no_outputs = {"--age",
                                              "--answer-time",
                                              "--at",
                                              "--based-on",
                                              "--board",
                                              "--change",
                                              "--commands",
                                              "--curve",
                                              "--disturbed",
                                              "--distance",
                                              "--drawer",
                                              "--emitter",
                                              "--feed",
                                              "--feed-voltage",
                                              "--from",
                                              "--kind",
                                              "--light",
                                              "--limits",
                                              "--mark",
                                              "--meter",
                                              "--name",
                                              "--plan",
                                              "--readings",
                                              "--receiver",
                                              "--rest",
                                              "--settle",
                                              "--shroud",
                                              "--shunt",
                                              "--size",
                                              "--source",
                                              "--specimen",
                                              "--supply",
                                              "--sweep",
                                              "--temperature",
                                              "--to",
                                              "--until",
                                              "--voltage-limit",
                                              "--who",
                                              "--x",
                                              "--x-mark",
                                              "--y",
                                              "--y-mark"};
    std::map<std::string, std::set<std::string>> in_table;
    for (const auto& command : writing_commands()) {
        for (const auto& output : command.outputs) in_table[command.command].insert(output.option);
    }
    std::vector<std::string> all;
    for (const auto& name : commands_of("")) {
        const auto below = commands_of(name);
        for (const auto& sub : below) all.push_back(name + " " + sub);
        if (below.empty()) all.push_back(name);
    }
    ASSERT_GE(all.size(), 13U);
    std::size_t outputs = 0;
    for (const auto& command : all) {
        std::istringstream help(run_program(command + " --help", PROJECT_FOLDER).out);
        bool replaces = false;
        std::set<std::string> named;
        for (std::string line; std::getline(help, line);) {
            std::smatch found;
            replaces = replaces || line.find("--replace") != std::string::npos;
            // "  -o,--output FILE", "  --who TEXT", "  --curve TEXT ... REQUIRED"
            if (!std::regex_search(line, found,
                                   std::regex("^ +(-[-a-z]+)[^ ]* (FILE|FOLDER|TEXT)"))) {
                continue;
            }
            if (found[2] == "TEXT") {
                EXPECT_TRUE(no_outputs.contains(found[1])) << command << " " << found[1];
            } else {
                named.insert(found[1]);
            }
        }
        outputs += named.size();
        EXPECT_EQ(named, in_table[command]) << command;
        EXPECT_EQ(replaces, !named.empty()) << command;
    }
    EXPECT_GE(outputs, 28U);
}

// An editor that saves while the program works.
TEST(Outputs, DoNotReplaceWhatAppearsMeanwhile) {
    const ScratchFolder folder;
    make_scene(folder.path());
    StartedProgram program("report plain.link.toml --samples 300000 -o new.html", folder.path());
    ASSERT_TRUE(program.hears_interrupt());
    std::ofstream(folder.path() / "new.html") << "the user's";
    EXPECT_EQ(program.end(), 2);
    EXPECT_EQ(text_of_file(folder.path() / "new.html"), "the user's");
}

// A plan that was changed and is read back is not written over by the one made of it.
TEST(Outputs, LeaveThePlanThatIsReadBack) {
    const ScratchFolder folder;
    make_scene(folder.path());
    const std::string line = "build plain.link.toml --samples 20 --timed-samples 2 -o sheet ";
    ASSERT_EQ(run_program(line + "--board grid --starts 1", folder.path()).exit_status, 0);
    const auto plan = folder.path() / "sheet/grid-plan.csv";
    const std::string changed = text_of_file(plan) + "\r\n";
    std::ofstream(plan, std::ios::binary) << changed;
    const auto refused = run_program(line + "--plan sheet/grid-plan.csv --replace", folder.path());
    EXPECT_EQ(refused.exit_status, 2) << refused.err;
    EXPECT_NE(refused.err.find("is read by this run"), std::string::npos) << refused.err;
    EXPECT_EQ(text_of_file(plan), changed);
}

TEST(Outputs, OfOneNameAreRefused) {
    const ScratchFolder folder;
    make_scene(folder.path());
    const auto twice = run_program("bench small.link.toml -o new --form ./new", folder.path());
    EXPECT_EQ(twice.exit_status, 2);
    EXPECT_NE(twice.err.find("more than one output"), std::string::npos) << twice.err;
    const auto both = run_program("bench small.link.toml -o - --form -", folder.path());
    EXPECT_EQ(both.exit_status, 2);
    EXPECT_NE(both.err.find("cannot all have standard output"), std::string::npos) << both.err;
    EXPECT_FALSE(fs::exists(folder.path() / "new"));
}

}  // namespace
}  // namespace gapwright::testing_support
