// What commands share at the terminal: Ctrl-C, progress, colours, bad input told. Nothing else in
// the program writes to it, so that what came from outside passes source/terminal_text.hpp.
#pragma once

#include <fmt/format.h>

#include <array>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <stop_token>
#include <string>
#include <string_view>
#include <thread>
#include <type_traits>

#include "app/exit_status.hpp"
#include "source/diagnostics.hpp"
#include "source/display.hpp"

namespace gapwright {

// Before anything else: a missing standard input, output or error is taken by a place that cannot
// be read or written, so that no file of the user's gets its number; a reader that goes away is an
// error of writing like any other.
void prepare_standard_streams();

// While it lives, Ctrl-C asks for a stop in place of ending the program; so do a closed terminal
// and a kill (SIGHUP, SIGTERM), so that what has to be undone is undone. One for the whole of a
// command, made by main(): a second one would not know of a Ctrl-C that came before it.
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

// A message on stderr; what cannot be written there is lost without harm.
void tell_text(std::string_view text);

// `value`, a text in one line of visible characters.
template <class T>
decltype(auto) harmless(const T& value) {
    if constexpr (std::is_convertible_v<const T&, std::string_view>) {
        return printable(value);
    } else {
        return (value);
    }
}

// The same by a format; texts that are put into it cannot end the line.
template <class... Values>
void tell(fmt::format_string<Values...> format, Values&&... values) {
    tell_text(fmt::format(fmt::runtime(fmt::string_view(format)), harmless(values)...));
}

// Tells bad input on stderr, as JSON on stdout besides where that is asked for.
ExitStatus refuse(const Problems& problems, bool json);

// Tells why a computation failed, likewise.
ExitStatus fail(const std::string& message, bool json);

// Writes to stdout; false, told on stderr, when not all of it could be written. `write_bytes` is
// for a file's contents: as they are, unless a terminal would have them.
bool write_out(std::string_view text);
bool write_json(std::string_view json);
bool write_bytes(std::string_view bytes);

}  // namespace gapwright
