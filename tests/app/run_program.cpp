#include "support/run_program.hpp"

#include <sys/wait.h>

#include <cstdlib>
#include <fstream>
#include <sstream>

namespace gapwright::testing_support {

std::string text_of_file(const std::filesystem::path& path) {
    std::ifstream stream(path, std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

ScratchFolder::ScratchFolder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "gapwright-XXXXXX").string();
    path_ = ::mkdtemp(pattern.data());
}

ScratchFolder::~ScratchFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
}

Outcome run_program(const std::string& arguments, const std::filesystem::path& folder) {
    const ScratchFolder caught;
    const auto out = caught.path() / "out";
    const auto err = caught.path() / "err";
    // Nothing to read, unless the arguments end in "< FILE".
    const std::string command = "cd '" + folder.string() + "' && '" PROGRAM "' </dev/null " +
                                arguments + " >'" + out.string() + "' 2>'" + err.string() + "'";
    const int status = std::system(command.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, text_of_file(out), text_of_file(err)};
}

}  // namespace gapwright::testing_support
