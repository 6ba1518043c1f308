#include "app/terminal.hpp"

#include <fcntl.h>
#include <signal.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <mutex>
#include <stop_token>
#include <string>
#include <string_view>

#include "app/exit_status.hpp"
#include "report/json/verdict_json.hpp"
#include "source/diagnostics.hpp"
#include "source/display.hpp"
#include "source/terminal_text.hpp"

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

void put(std::FILE* stream, std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stream);
    std::fflush(stream);
}

bool put_out(std::string_view text) {
    const bool whole = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
    if (whole && std::fflush(stdout) == 0) return true;
    tell("gapwright: the output could not be written: {}\n", std::strerror(errno));
    return false;
}

}  // namespace

void prepare_standard_streams() {
    std::signal(SIGPIPE, SIG_IGN);
    for (const int number : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
        if (fcntl(number, F_GETFD) != -1) continue;
        // The lowest free number is this one, those below it being taken.
        open("/dev/null", number == STDIN_FILENO ? O_WRONLY : O_RDONLY);
    }
}

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
    if (written_) put(stderr, "\r\x1b[K");
}

void ProgressLine::show(const std::string& text) {
    constexpr std::chrono::seconds patience(1);
    if (!shown_ || std::chrono::steady_clock::now() - begin_ < patience) return;
    const std::lock_guard lock(mutex_);
    written_ = true;
    put(stderr, fmt::format("\r{}\x1b[K", printable(text)));
}

bool wants_colour() {
    const char* off = std::getenv("NO_COLOR");
    return isatty(STDOUT_FILENO) != 0 && (!off || *off == '\0');
}

ExitStatus refuse(const Problems& problems, bool json) {
    if (json) write_json(problems_json(problems));
    tell_text(to_text(problems));
    return exit_bad_input;
}

ExitStatus fail(const std::string& message, bool json) {
    if (json) write_json(failure_json(message));
    tell("gapwright: {}\n", message);
    return exit_failed;
}

void tell_text(std::string_view text) {
    put(stderr, for_terminal(text));
}

bool write_out(std::string_view text) {
    return put_out(for_terminal(text));
}

bool write_json(std::string_view json) {
    return put_out(for_terminal_as_json(json));
}

bool write_bytes(std::string_view bytes) {
    return isatty(STDOUT_FILENO) != 0 ? write_out(bytes) : put_out(bytes);
}

}  // namespace gapwright
