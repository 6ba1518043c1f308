// Every command that writes files, and a folder of what they need: the tests of what commands do
// with the user's files and with the terminal go over all of them.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace gapwright::testing_support {

// An option that names what to write.
struct OutputOption {
    std::string option;  // "-o"
    bool folder = false;
    std::string name = "new";  // of the file, with the ending that it must have
};

struct WritingCommand {
    std::string command;    // "report", "card fit": as in --help
    std::string arguments;  // all of the line but outputs, quick to run
    std::vector<OutputOption> outputs;
    std::vector<std::string> inputs = {};  // files that it reads
    bool runs = true;                      // false: it wants instruments, and ends before its end
};

const std::vector<WritingCommand>& writing_commands();

// Lines to run over all commands: those of the table, each with its first output and --replace, and
// commands that write no files of a name given to them.
std::vector<std::string> all_lines();

// What the lines above work on, put into `folder`. `title`, `name` and `cell` are put into titles,
// notes and sources (as TOML escapes them), into names of parts, nodes and states (likewise), and
// into cells of tables.
struct ForeignText {
    std::string title = {};
    std::string name = {};
    std::string cell = {};
};
void make_scene(const std::filesystem::path& folder, const ForeignText& foreign = {});

}  // namespace gapwright::testing_support
