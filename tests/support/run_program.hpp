// Runs the program as a person would, in a folder, and catches what it says.
#pragma once

#include <filesystem>
#include <string>

namespace gapwright::testing_support {

struct Outcome {
    int exit_status = -1;
    std::string out;
    std::string err;
};

// Runs `PROGRAM arguments` by the shell, in `folder`.
Outcome run_program(const std::string& arguments, const std::filesystem::path& folder);

std::string text_of_file(const std::filesystem::path& path);

// A folder of its own below the system's temporary one, removed at the end.
class ScratchFolder {
  public:
    ScratchFolder();
    ~ScratchFolder();
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

}  // namespace gapwright::testing_support
