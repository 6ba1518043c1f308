// Channels over file descriptors. Internal to the layer.
#pragma once

#include <memory>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include "instrument/address.hpp"
#include "instrument/channel.hpp"

namespace gapwright {

// A file descriptor that is closed at the end.
class OwnedFd {
  public:
    explicit OwnedFd(int fd) : fd_(fd) {}
    OwnedFd(OwnedFd&& other) noexcept : fd_(other.release()) {}
    OwnedFd(const OwnedFd&) = delete;
    OwnedFd& operator=(const OwnedFd&) = delete;
    OwnedFd& operator=(OwnedFd&&) = delete;
    ~OwnedFd();

    int get() const { return fd_; }
    int release();
    bool valid() const { return fd_ >= 0; }

  private:
    int fd_;
};

// Waits for `events` of poll() on the descriptor. Errors: timeout, interrupted.
InstrumentExpected<void> wait_ready(int fd, short events, double timeout,
                                    const std::stop_token& stop);

// True when all bytes are text: printable ASCII or a tab.
bool is_text(std::string_view line);

// A line of a stream of bytes: TCP, a serial line. The descriptor does not block.
class StreamChannel : public Channel {
  public:
    StreamChannel(OwnedFd fd, bool socket) : fd_(std::move(fd)), socket_(socket) {}

    InstrumentExpected<void> write(std::string_view bytes, double timeout) override;
    InstrumentExpected<std::string> read_line(double timeout, const std::stop_token& stop) override;
    void discard() override;

  private:
    OwnedFd fd_;
    bool socket_;
    std::string unread_;  // at most longest_answer and one read
};

using OpenedChannel = InstrumentExpected<std::unique_ptr<Channel>>;
OpenedChannel open_tcp(const TcpAddress& address, double timeout, const std::stop_token& stop);
OpenedChannel open_serial(const SerialAddress& address);
OpenedChannel open_usbtmc(const UsbtmcAddress& address);

// "could not open /dev/x: No such file or directory", from errno.
std::string system_reason(const std::string& what, int error);

}  // namespace gapwright
