#include <fcntl.h>
#include <sys/ioctl.h>
#include <termios.h>

#include <array>
#include <cerrno>
#include <memory>
#include <string>
#include <utility>

#include "instrument/address.hpp"
#include "instrument/channel.hpp"
#include "instrument/channel_kinds.hpp"

namespace gapwright {
namespace {

constexpr auto speed_codes = std::to_array<std::pair<unsigned, speed_t>>({{1200, B1200},
                                                                          {2400, B2400},
                                                                          {4800, B4800},
                                                                          {9600, B9600},
                                                                          {19200, B19200},
                                                                          {38400, B38400},
                                                                          {57600, B57600},
                                                                          {115200, B115200},
                                                                          {230400, B230400}});

speed_t speed_code(unsigned baud) {
    for (const auto& [speed, code] : speed_codes) {
        if (speed == baud) return code;
    }
    return B9600;
}

}  // namespace

OpenedChannel open_serial(const SerialAddress& address) {
    const std::string what = "could not open " + address.device;
    OwnedFd fd(::open(address.device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
    if (!fd.valid()) return instrument_error(InstrumentFault::refused, system_reason(what, errno));
    termios line = {};
    if (::tcgetattr(fd.get(), &line) != 0) {
        return instrument_error(InstrumentFault::refused, what + ": it is no serial line");
    }
    ::cfmakeraw(&line);
    line.c_cflag &= ~static_cast<tcflag_t>(CSTOPB | PARENB | CRTSCTS | HUPCL);
    line.c_cflag |= CLOCAL | CREAD | CS8;
    line.c_cc[VMIN] = 0;
    line.c_cc[VTIME] = 0;
    ::cfsetispeed(&line, speed_code(address.baud));
    ::cfsetospeed(&line, speed_code(address.baud));
    if (::tcsetattr(fd.get(), TCSANOW, &line) != 0) {
        return instrument_error(InstrumentFault::refused, system_reason(what, errno));
    }
    ::ioctl(fd.get(), TIOCEXCL);  // nobody else's bytes among ours
    ::tcflush(fd.get(), TCIOFLUSH);
    return std::make_unique<StreamChannel>(std::move(fd), false);
}

}  // namespace gapwright
