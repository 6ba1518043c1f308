// The program while it runs.
#pragma once

#include <sys/types.h>

#include <filesystem>
#include <string>

namespace gapwright::testing_support {

// `PROGRAM arguments`, by the shell, in `folder`; its output goes to nobody.
class StartedProgram {
  public:
    StartedProgram(const std::string& arguments, const std::filesystem::path& folder);
    ~StartedProgram();
    StartedProgram(const StartedProgram&) = delete;
    StartedProgram& operator=(const StartedProgram&) = delete;

    // Waits until Ctrl-C would no longer end it but be heard; false where it ended before.
    bool hears_interrupt() const;
    void send(int signal) const;
    // Waits for its end; its exit status, or minus the signal that ended it.
    int end();

  private:
    pid_t child_ = -1;
};

}  // namespace gapwright::testing_support
