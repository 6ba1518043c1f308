// What commands share at the terminal: Ctrl-C, progress, colours, bad input told.
#pragma once

#include <array>
#include <condition_variable>
#include <cstddef>
#include <mutex>
#include <stop_token>
#include <string>
#include <thread>

#include "app/exit_status.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

// While it lives, Ctrl-C asks for a stop in place of ending the program; so do a closed terminal
// and a kill (SIGHUP, SIGTERM), so that what has to be undone is undone.
class InterruptGuard {
  public:
    InterruptGuard();
    ~InterruptGuard();
    InterruptGuard(const InterruptGuard&) = delete;
    InterruptGuard& operator=(const InterruptGuard&) = delete;

    std::stop_token token() const { return stop_.get_token(); }

  private:
    std::stop_source stop_;
    std::condition_variable_any ended_;
    std::array<void (*)(int), 3> previous_ = {};  // of the three signals
    std::jthread watcher_;
};

// While it lives, Ctrl-C also ends a read from the terminal that waits: it then reads as the end of
// the input. Requires an InterruptGuard around it.
class InterruptibleInput {
  public:
    InterruptibleInput();
    ~InterruptibleInput();
    InterruptibleInput(const InterruptibleInput&) = delete;
    InterruptibleInput& operator=(const InterruptibleInput&) = delete;
};

// A line on the terminal that says how far long work is; silent for the first second, and where
// stderr is no terminal. Calls may come from any thread.
class ProgressLine {
  public:
    ProgressLine();
    ~ProgressLine();  // takes the line away
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    void show(const std::string& text);

  private:
    std::chrono::steady_clock::time_point begin_ = std::chrono::steady_clock::now();
    bool shown_;
    std::mutex mutex_;
    bool written_ = false;
};

// Colours on stdout: a terminal, and NO_COLOR not set.
bool wants_colour();

// Tells bad input on stderr, as JSON on stdout besides where that is asked for.
ExitStatus refuse(const Problems& problems, bool json);

// Tells why a computation failed, likewise.
ExitStatus fail(const std::string& message, bool json);

// Writes to stdout; false, told on stderr, when not all of it could be written.
bool write_out(const std::string& text);

}  // namespace gapwright
