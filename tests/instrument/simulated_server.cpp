#include "simulated_server.hpp"

#include <arpa/inet.h>
#include <fcntl.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <stdexcept>

namespace gapwright::testing_support {
namespace {

constexpr std::size_t flood_size = 64U << 20U;

double seconds_now() {
    using Seconds = std::chrono::duration<double>;
    return Seconds(std::chrono::steady_clock::now().time_since_epoch()).count();
}

// A listener on that port of loopback, any free one for 0; −1 when it is taken.
int listener_on(std::uint16_t& port) {
    const int fd = ::socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    const int yes = 1;
    ::setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    sockaddr_in where = {};
    where.sin_family = AF_INET;
    where.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    where.sin_port = htons(port);
    auto* address = reinterpret_cast<sockaddr*>(&where);
    socklen_t size = sizeof where;
    if (::bind(fd, address, size) != 0 || ::listen(fd, 8) != 0) {
        ::close(fd);
        return -1;
    }
    ::getsockname(fd, address, &size);
    port = ntohs(where.sin_port);
    return fd;
}

}  // namespace

SimulatedServer::SimulatedServer(SimulatedBench& bench) : bench_(bench) {
    for (int k = 0; k < role_count; ++k) {
        listeners_[k] = listener_on(ports_[k]);
        if (listeners_[k] < 0) throw std::runtime_error("no loopback port");
    }
    thread_ = std::jthread([this](const std::stop_token& stop) { serve(stop); });
}

SimulatedServer::~SimulatedServer() {
    thread_.request_stop();
    thread_.join();
    for (const int fd : listeners_) {
        if (fd >= 0) ::close(fd);
    }
    for (const Connection& connection : connections_) ::close(connection.fd);
}

void SimulatedServer::listen_again(double now) {
    for (int k = 0; k < role_count; ++k) {
        const bool wanted = !vanished_[k] && now >= refuse_until_[k];
        if (wanted && listeners_[k] < 0) listeners_[k] = listener_on(ports_[k]);
        if (!wanted && listeners_[k] >= 0) {
            ::close(listeners_[k]);
            listeners_[k] = -1;
        }
        for (Connection& connection : connections_) {
            if (vanished_[k] && static_cast<int>(connection.line.role) == k) {
                connection.pending.clear();
                connection.flood = 0;
                connection.close = true;
            }
        }
    }
}

void SimulatedServer::serve(const std::stop_token& stop) {
    while (!stop.stop_requested()) {
        const double now = seconds_now();
        listen_again(now);
        std::vector<pollfd> waiting;
        for (const int fd : listeners_)
            waiting.push_back({.fd = fd, .events = POLLIN, .revents = 0});
        for (const Connection& connection : connections_) {
            const bool sends = connection.flood > 0;
            waiting.push_back({.fd = connection.fd,
                               .events = static_cast<short>(sends ? POLLIN | POLLOUT : POLLIN),
                               .revents = 0});
        }
        ::poll(waiting.data(), waiting.size(), 5);
        for (Connection& connection : connections_) {
            if (!connection.close) hear(connection);
            answer(connection, seconds_now());
        }
        std::erase_if(connections_, [](const Connection& connection) {
            const bool over = connection.close && connection.pending.empty();
            if (over) ::close(connection.fd);
            return over;
        });
        for (int k = 0; k < role_count; ++k) {
            if (listeners_[k] < 0 || now < refuse_until_[k]) continue;
            const int fd = ::accept4(listeners_[k], nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC);
            if (fd < 0) continue;
            connections_.emplace_back();
            connections_.back().fd = fd;
            connections_.back().line.role = static_cast<Role>(k);
        }
    }
}

void SimulatedServer::hear(Connection& connection) {
    std::array<char, 4096> block;
    const auto got = ::recv(connection.fd, block.data(), block.size(), 0);
    if (got > 0) connection.heard.append(block.data(), static_cast<std::size_t>(got));
    // What was sent before the end still counts: an instrument obeys what has arrived.
    for (std::size_t at;
         !connection.close && (at = connection.heard.find('\n')) != std::string::npos;) {
        const std::string message = connection.heard.substr(0, at);
        connection.heard.erase(0, at + 1);
        react(connection, message);
    }
    if (got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR)) {
        connection.pending.clear();
        connection.flood = 0;
        connection.close = true;
    }
}

void SimulatedServer::react(Connection& connection, const std::string& message) {
    Reaction reaction = bench_.hear(connection.line, message);
    const double now = seconds_now();
    if (!reaction.bytes.empty()) {
        connection.pending.push_back({now + reaction.delay, std::move(reaction.bytes)});
    }
    if (reaction.flood) connection.flood = flood_size;
    if (reaction.refuse) {
        refuse_until_[static_cast<int>(connection.line.role)] = now + bench_.settings().refuse_for;
    }
    connection.close = connection.close || reaction.close;
}

void SimulatedServer::answer(Connection& connection, double now) const {
    while (!connection.pending.empty() && connection.pending.front().due <= now) {
        const std::string& bytes = connection.pending.front().bytes;
        if (::send(connection.fd, bytes.data(), bytes.size(), MSG_NOSIGNAL) < 0) {
            connection.close = true;
        }
        connection.pending.pop_front();
    }
    static const std::string sevens(65536, '7');
    while (connection.flood > 0) {
        const auto sent = ::send(connection.fd, sevens.data(), sevens.size(), MSG_NOSIGNAL);
        if (sent <= 0) return;
        connection.flood -= std::min(connection.flood, static_cast<std::size_t>(sent));
    }
}

}  // namespace gapwright::testing_support
