#include "app/terminal.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <cstring>

#include "report/verdict_json.hpp"

namespace gapwright {
namespace {

constexpr std::array asking_signals = {SIGINT, SIGTERM, SIGHUP};

volatile std::sig_atomic_t interrupted = 0;
void note_interrupt(int) {
    interrupted = 1;
}

// Whether a system call goes on after Ctrl-C, as it does by default.
void restart_after_interrupt(bool restart) {
    struct sigaction action = {};
    sigaction(SIGINT, nullptr, &action);
    action.sa_flags = restart ? action.sa_flags | SA_RESTART : action.sa_flags & ~SA_RESTART;
    sigaction(SIGINT, &action, nullptr);
}

}  // namespace

InterruptibleInput::InterruptibleInput() {
    restart_after_interrupt(false);
}

InterruptibleInput::~InterruptibleInput() {
    restart_after_interrupt(true);
}

InterruptGuard::InterruptGuard() {
    interrupted = 0;
    for (std::size_t k = 0; k < asking_signals.size(); ++k) {
        previous_[k] = std::signal(asking_signals[k], note_interrupt);
    }
    watcher_ = std::jthread([this](const std::stop_token& end) {
        std::mutex mutex;
        std::unique_lock lock(mutex);
        while (!end.stop_requested()) {
            if (interrupted) stop_.request_stop();
            ended_.wait_for(lock, end, std::chrono::milliseconds(20), [] { return false; });
        }
    });
}

InterruptGuard::~InterruptGuard() {
    for (std::size_t k = 0; k < asking_signals.size(); ++k) {
        std::signal(asking_signals[k], previous_[k]);
    }
}

ProgressLine::ProgressLine() : shown_(isatty(STDERR_FILENO) != 0) {}

ProgressLine::~ProgressLine() {
    if (written_) fmt::print(stderr, "\r\x1b[K");
}

void ProgressLine::show(const std::string& text) {
    constexpr std::chrono::seconds patience(1);
    if (!shown_ || std::chrono::steady_clock::now() - begin_ < patience) return;
    const std::lock_guard lock(mutex_);
    written_ = true;
    fmt::print(stderr, "\r{}\x1b[K", text);
    std::fflush(stderr);
}

bool wants_colour() {
    const char* off = std::getenv("NO_COLOR");
    return isatty(STDOUT_FILENO) != 0 && (!off || *off == '\0');
}

ExitStatus refuse(const Problems& problems, bool json) {
    if (json) write_out(problems_json(problems));
    fmt::print(stderr, "{}", to_text(problems));
    return exit_bad_input;
}

ExitStatus fail(const std::string& message, bool json) {
    if (json) write_out(failure_json(message));
    fmt::print(stderr, "gapwright: {}\n", message);
    return exit_failed;
}

bool write_out(const std::string& text) {
    const bool whole = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
    if (whole && std::fflush(stdout) == 0) return true;
    fmt::print(stderr, "gapwright: the output could not be written: {}\n", std::strerror(errno));
    return false;
}

}  // namespace gapwright
