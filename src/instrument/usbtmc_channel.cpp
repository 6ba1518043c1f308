#include <fcntl.h>
#include <linux/usb/tmc.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstddef>
#include <expected>
#include <memory>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>

#include "instrument/address.hpp"
#include "instrument/channel.hpp"
#include "instrument/channel_kinds.hpp"
#include "instrument/clock.hpp"

namespace gapwright {
namespace {

// Messages, not a stream: the kernel asks the instrument for an answer when we read, and waits for
// it. poll() does not tell whether there is one, so the time goes to the kernel instead.
class UsbtmcChannel : public Channel {
  public:
    explicit UsbtmcChannel(OwnedFd fd) : fd_(std::move(fd)) {}

    InstrumentExpected<void> write(std::string_view bytes, double timeout) override {
        set_timeout(timeout);
        const auto sent = ::write(fd_.get(), bytes.data(), bytes.size());
        if (sent == static_cast<ssize_t>(bytes.size())) return {};
        return failed();
    }

    InstrumentExpected<std::string> read_line(double timeout,
                                              const std::stop_token& stop) override {
        if (stop.stop_requested()) {
            return instrument_error(InstrumentFault::interrupted, "stopped");
        }
        const SteadyClock clock;
        const double end = clock.now() + timeout;
        std::string line;
        std::array<char, 1024> block;
        while (line.find('\n') == std::string::npos) {
            if (line.size() > longest_answer) {
                return instrument_error(InstrumentFault::too_long, "an answer that does not end");
            }
            const double left = end - clock.now();
            if (left <= 0) return instrument_error(InstrumentFault::timeout, "no answer in time");
            set_timeout(left);
            const auto got = ::read(fd_.get(), block.data(), block.size());
            if (got < 0) return std::unexpected(failed().error());
            // Less than asked for ends the message, with a line feed or without.
            line.append(block.data(), static_cast<std::size_t>(got));
            if (static_cast<std::size_t>(got) < block.size()) break;
        }
        line.resize(std::min(line.size(), line.find('\n')));
        std::erase(line, '\r');
        if (is_text(line)) return line;
        return instrument_error(InstrumentFault::not_text, "an answer that is not text");
    }

    void discard() override { ::ioctl(fd_.get(), USBTMC_IOCTL_CLEAR); }

  private:
    void set_timeout(double seconds) {
        // The kernel takes no less than 100 ms.
        __u32 milliseconds = static_cast<__u32>(std::clamp(seconds * 1000, 100.0, 60000.0));
        ::ioctl(fd_.get(), USBTMC_IOCTL_SET_TIMEOUT, &milliseconds);
    }

    static std::unexpected<InstrumentError> failed() {
        if (errno == ETIMEDOUT || errno == EAGAIN || errno == EINTR) {
            return instrument_error(InstrumentFault::timeout, "no answer in time");
        }
        return instrument_error(InstrumentFault::closed,
                                system_reason("the connection was lost", errno));
    }

    OwnedFd fd_;
};

}  // namespace

OpenedChannel open_usbtmc(const UsbtmcAddress& address) {
    const std::string what = "could not open " + address.device;
    OwnedFd fd(::open(address.device.c_str(), O_RDWR | O_CLOEXEC | O_NONBLOCK));
    if (!fd.valid()) return instrument_error(InstrumentFault::refused, system_reason(what, errno));
    __u32 milliseconds = 1000;
    if (::ioctl(fd.get(), USBTMC_IOCTL_SET_TIMEOUT, &milliseconds) != 0) {
        return instrument_error(InstrumentFault::refused, what + ": it is no USBTMC device");
    }
    // Opened without waiting, so that a path which is something else cannot hold us.
    ::fcntl(fd.get(), F_SETFL, ::fcntl(fd.get(), F_GETFL) & ~O_NONBLOCK);
    return std::make_unique<UsbtmcChannel>(std::move(fd));
}

}  // namespace gapwright
