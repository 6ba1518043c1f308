#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <cstddef>
#include <expected>
#include <stop_token>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include "instrument/channel.hpp"
#include "instrument/channel_kinds.hpp"
#include "instrument/clock.hpp"

namespace gapwright {
namespace {

constexpr std::string_view gone = "the connection was lost";

}  // namespace

OwnedFd::~OwnedFd() {
    if (fd_ >= 0) ::close(fd_);
}

int OwnedFd::release() {
    return std::exchange(fd_, -1);
}

std::string system_reason(const std::string& what, int error) {
    return what + ": " + std::generic_category().message(error);
}

InstrumentExpected<void> wait_ready(int fd, short events, double timeout,
                                    const std::stop_token& stop) {
    constexpr double slice = 0.05;  // how late a stop may be seen, in s
    const SteadyClock clock;
    const double end = clock.now() + timeout;
    for (;;) {
        if (stop.stop_requested()) {
            return instrument_error(InstrumentFault::interrupted, "stopped");
        }
        const double left = std::clamp(end - clock.now(), 0.0, slice);
        pollfd waiting = {.fd = fd, .events = events, .revents = 0};
        const int ready = ::poll(&waiting, 1, static_cast<int>(std::ceil(left * 1000)));
        if (ready > 0) return {};  // an error or hang-up shows in the read or write that follows
        if (ready < 0 && errno != EINTR) {
            return instrument_error(InstrumentFault::closed, std::string(gone));
        }
        if (clock.now() >= end) {
            return instrument_error(InstrumentFault::timeout, "no answer in time");
        }
    }
}

bool is_text(std::string_view line) {
    return std::ranges::all_of(line, [](char c) { return (c >= ' ' && c <= '~') || c == '\t'; });
}

InstrumentExpected<void> StreamChannel::write(std::string_view bytes, double timeout) {
    const SteadyClock clock;
    const double end = clock.now() + timeout;
    while (!bytes.empty()) {
        if (auto ready = wait_ready(fd_.get(), POLLOUT, end - clock.now(), {}); !ready) {
            return ready;
        }
        // A peer that is gone must be an error here, not the end of the program by a signal.
        const auto sent = socket_ ? ::send(fd_.get(), bytes.data(), bytes.size(), MSG_NOSIGNAL)
                                  : ::write(fd_.get(), bytes.data(), bytes.size());
        if (sent > 0) {
            bytes.remove_prefix(static_cast<std::size_t>(sent));
        } else if (errno != EINTR && errno != EAGAIN) {
            return instrument_error(InstrumentFault::closed, std::string(gone));
        }
    }
    return {};
}

InstrumentExpected<std::string> StreamChannel::read_line(double timeout,
                                                         const std::stop_token& stop) {
    const SteadyClock clock;
    const double end = clock.now() + timeout;
    for (;;) {
        const std::size_t at = unread_.find('\n');
        if (std::min(at, unread_.size()) > longest_answer) {
            unread_.clear();
            return instrument_error(InstrumentFault::too_long, "an answer that does not end");
        }
        if (at != std::string::npos) {
            std::string line = unread_.substr(0, at);
            unread_.erase(0, at + 1);
            std::erase(line, '\r');
            if (is_text(line)) return line;
            return instrument_error(InstrumentFault::not_text, "an answer that is not text");
        }
        if (auto ready = wait_ready(fd_.get(), POLLIN, end - clock.now(), stop); !ready) {
            return std::unexpected(ready.error());
        }
        std::array<char, 1024> block;
        const auto got = ::read(fd_.get(), block.data(), block.size());
        if (got > 0) {
            unread_.append(block.data(), static_cast<std::size_t>(got));
        } else if (got == 0 || (errno != EINTR && errno != EAGAIN)) {
            return instrument_error(InstrumentFault::closed, std::string(gone));
        }
    }
}

void StreamChannel::discard() {
    unread_.clear();
    std::array<char, 4096> block;
    // Bounded: an instrument that floods the line must not keep us here.
    for (int blocks = 0; blocks < 256; ++blocks) {
        if (::read(fd_.get(), block.data(), block.size()) <= 0) return;
    }
}

}  // namespace gapwright
