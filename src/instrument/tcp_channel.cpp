#include <fmt/format.h>
#include <netdb.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <expected>
#include <memory>
#include <stop_token>
#include <string>
#include <utility>

#include "instrument/address.hpp"
#include "instrument/channel.hpp"
#include "instrument/channel_kinds.hpp"
#include "instrument/clock.hpp"

namespace gapwright {
namespace {

OpenedChannel try_one(const addrinfo& where, const std::string& what, double timeout,
                      const std::stop_token& stop) {
    OwnedFd fd(::socket(where.ai_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
    if (!fd.valid()) return instrument_error(InstrumentFault::refused, system_reason(what, errno));
    if (::connect(fd.get(), where.ai_addr, where.ai_addrlen) != 0) {
        if (errno != EINPROGRESS) {
            return instrument_error(InstrumentFault::refused, system_reason(what, errno));
        }
        if (auto ready = wait_ready(fd.get(), POLLOUT, timeout, stop); !ready) {
            InstrumentError error = ready.error();
            if (error.kind == InstrumentFault::timeout) error.message = what + ": no answer";
            return std::unexpected(error);
        }
        int error = 0;
        socklen_t size = sizeof error;
        ::getsockopt(fd.get(), SOL_SOCKET, SO_ERROR, &error, &size);
        if (error != 0) {
            return instrument_error(InstrumentFault::refused, system_reason(what, error));
        }
    }
    // Commands are short and each waits for its answer: holding them back to fill a packet would
    // only make each one late.
    const int yes = 1;
    ::setsockopt(fd.get(), IPPROTO_TCP, TCP_NODELAY, &yes, sizeof yes);
    return std::make_unique<StreamChannel>(std::move(fd), true);
}

}  // namespace

OpenedChannel open_tcp(const TcpAddress& address, double timeout, const std::stop_token& stop) {
    const std::string what = fmt::format("could not connect to {}", to_text(address));
    addrinfo hints = {};
    hints.ai_family = AF_UNSPEC;
    hints.ai_socktype = SOCK_STREAM;
    hints.ai_flags = AI_NUMERICSERV;
    addrinfo* found = nullptr;
    const int status =
        ::getaddrinfo(address.host.c_str(), std::to_string(address.port).c_str(), &hints, &found);
    if (status != 0) {
        return instrument_error(InstrumentFault::refused,
                                fmt::format("{}: {}", what, ::gai_strerror(status)));
    }
    const std::unique_ptr<addrinfo, void (*)(addrinfo*)> list(found, ::freeaddrinfo);
    const SteadyClock clock;
    const double end = clock.now() + timeout;
    OpenedChannel result = instrument_error(InstrumentFault::refused, what);
    for (const addrinfo* one = found; one != nullptr; one = one->ai_next) {
        // Of several addresses one that keeps silent must leave time for the next.
        const double share = one->ai_next != nullptr ? 0.5 : 1;
        result = try_one(*one, what, share * (end - clock.now()), stop);
        if (result || result.error().kind == InstrumentFault::interrupted) break;
    }
    return result;
}

}  // namespace gapwright
