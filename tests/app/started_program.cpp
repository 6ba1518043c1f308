#include "app/started_program.hpp"

#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <fstream>
#include <thread>

namespace gapwright::testing_support {

StartedProgram::StartedProgram(const std::string& arguments, const std::filesystem::path& folder) {
    const std::string command = "cd '" + folder.string() + "' && exec " PROGRAM " </dev/null " +
                                arguments + " >/dev/null 2>&1";
    child_ = fork();
    if (child_ != 0) return;
    std::signal(SIGINT, SIG_DFL);  // which a shell's background jobs do not hear
    execl("/bin/sh", "sh", "-c", command.c_str(), nullptr);
    _exit(127);
}

StartedProgram::~StartedProgram() {
    if (child_ <= 0) return;
    kill(child_, SIGKILL);
    waitpid(child_, nullptr, 0);
}

bool StartedProgram::hears_interrupt() const {
    const std::string status = "/proc/" + std::to_string(child_) + "/status";
    for (int tries = 0; tries < 3000; ++tries) {
        std::ifstream file(status);
        for (std::string line; std::getline(file, line);) {
            if (!line.starts_with("SigCgt:")) continue;
            const auto caught = std::stoull(line.substr(line.find('\t')), nullptr, 16);
            if ((caught >> (SIGINT - 1) & 1U) != 0) return true;
        }
        siginfo_t ended = {};
        waitid(P_PID, static_cast<id_t>(child_), &ended, WEXITED | WNOHANG | WNOWAIT);
        if (ended.si_pid != 0) return false;
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return false;
}

void StartedProgram::send(int signal) const {
    kill(child_, signal);
}

int StartedProgram::end() {
    int status = 0;
    waitpid(child_, &status, 0);
    child_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

}  // namespace gapwright::testing_support
