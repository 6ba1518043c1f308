// A web server for one person at this computer: HTTP/1.1 on 127.0.0.1 and nowhere else.
//
// It answers no one but the browser that opened the page: see request_guard.hpp and
// session_code.hpp. Reading and writing happen on the thread of run(), handlers on threads of their
// own, so that a long answer holds up no other.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <memory>
#include <stop_token>
#include <string>

#include "service/exchange.hpp"

namespace gapwright {

// Own choices, wide for a browser on the same computer.
struct ServerLimits {
    std::size_t header = std::size_t{16} << 10U;  // bytes of request line and header fields: 431
    std::size_t body = std::size_t{8} << 20U;     // bytes: 413, unread where they are announced
    std::size_t connections = 64;  // beyond them the one that has long not sent a whole request is
                                   // closed; where there is none such, 503
    std::size_t queued = 64;       // requests that wait for a worker; beyond them 503
    std::chrono::milliseconds request{10000};  // from its first byte to its last
    std::chrono::milliseconds reply{10000};    // until the client has taken it
    std::chrono::milliseconds idle{30000};     // between a reply and the next request
};

struct ServerOptions {
    std::uint16_t port = 0;  // 0: any that is free
    unsigned workers = 4;    // threads that run handlers, at least 1
    ServerLimits limits = {};
};

class LoopbackServer {
  public:
    // Takes the port, so that browsers can connect from now on; they are answered once run() runs.
    // Errors, in words with the system's reason: the port is taken or not allowed.
    static std::expected<LoopbackServer, std::string> open(ServerOptions options, Handler handler);

    LoopbackServer(LoopbackServer&&) noexcept;
    LoopbackServer& operator=(LoopbackServer&&) noexcept;
    ~LoopbackServer();

    std::uint16_t port() const;
    std::string address() const;  // "http://127.0.0.1:PORT"

    // The address with the code that opens the page once: "http://127.0.0.1:PORT/?code=…". It is a
    // secret until it is used: print it where only the person sees it, and put it into no file and
    // no argument of a process. Any thread.
    std::string opening_address() const;

    // Makes a new code, for another browser or because the old one is used up, and returns the
    // address with it. The old code is void. Any thread.
    std::string new_opening_address();

    // Serves until a stop is asked for. Stopping closes every connection at once, stops the tokens
    // of running handlers and waits for them to return. Call it once.
    void run(const std::stop_token& stop);

  private:
    class Implementation;
    explicit LoopbackServer(std::unique_ptr<Implementation> implementation);
    std::unique_ptr<Implementation> implementation_;
};

}  // namespace gapwright
