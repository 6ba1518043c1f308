#include "service/server.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <memory>
#include <set>
#include <stop_token>
#include <string>
#include <utility>

#include "service/connection.hpp"
#include "service/exchange.hpp"
#include "service/session_code.hpp"
#include "service/worker_pool.hpp"

namespace gapwright {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;
using namespace std::chrono_literals;

constexpr std::size_t most_turned_away = 16;  // connections at once that are told so

// How readily a connection is closed to make room; 0: not at all. Those that have shown that they
// may ask are spared while they ask something.
int dispensability(const Connection& connection) {
    using Stage = Connection::Stage;
    const bool waits = connection.stage() == Stage::idle || connection.stage() == Stage::request;
    if (connection.stage() == Stage::leaving) return 3;
    if (waits && connection.is_stranger()) return 2;
    return connection.stage() == Stage::idle ? 1 : 0;
}

}  // namespace

class LoopbackServer::Implementation {
  public:
    Implementation(const ServerOptions& options, Handler handler)
        : options_(options), handler_(std::move(handler)) {}

    error_code listen() {
        error_code trouble;
        const tcp::endpoint place(asio::ip::address_v4::loopback(), options_.port);
        acceptor_.open(place.protocol(), trouble);
        if (!trouble) acceptor_.set_option(tcp::acceptor::reuse_address(true), trouble);
        if (!trouble) acceptor_.bind(place, trouble);
        if (!trouble) acceptor_.listen(asio::socket_base::max_listen_connections, trouble);
        if (!trouble) port_ = acceptor_.local_endpoint(trouble).port();
        if (!trouble) session_ = std::make_unique<SessionCode>(port_);
        return trouble;
    }

    std::uint16_t port() const { return port_; }
    SessionCode& session() { return *session_; }

    void run(const std::stop_token& stop) {
        WorkerPool workers(options_.workers, options_.limits.queued);
        ConnectionSurroundings surroundings{
            port_,    options_.limits, *session_,
            handler_, workers,         [this](const auto& gone) { connections_.erase(gone); }};
        const std::stop_callback on_stop(stop, [this] { asio::post(io_, [this] { shut(); }); });
        accept(surroundings);
        io_.run();
        workers.stop();
        // Replies of the last handlers, which nobody waits for, go before what they refer to.
        io_.restart();
        io_.poll();
    }

  private:
    void shut() {
        error_code ignored;
        shut_ = true;
        acceptor_.close(ignored);
        retry_.cancel();
        for (const auto& connection : std::set(connections_)) connection->close();
    }

    void accept(ConnectionSurroundings& surroundings) {
        acceptor_.async_accept(
            [this, &surroundings](const error_code& trouble, tcp::socket socket) {
                if (shut_) return;
                if (!trouble) {
                    welcome(std::move(socket), surroundings);
                    return accept(surroundings);
                }
                // No more descriptors, and the like: it passes.
                retry_.expires_after(100ms);
                retry_.async_wait([this, &surroundings](const error_code&) {
                    if (!shut_) accept(surroundings);
                });
            });
    }

    void welcome(tcp::socket socket, ConnectionSurroundings& surroundings) {
        const std::size_t most = options_.limits.connections;
        const bool room = connections_.size() < most || make_room();
        if (!room && connections_.size() >= most + most_turned_away) return;  // closes it
        const auto connection = std::make_shared<Connection>(std::move(socket), surroundings);
        connections_.insert(connection);
        if (room) {
            connection->start();
        } else {
            connection->turn_away();
        }
    }

    // Closes the one that can best be done without, of several alike the oldest.
    bool make_room() {
        const auto worst = std::ranges::max_element(
            connections_, {}, [now = Connection::Clock::now()](const auto& connection) {
                return std::pair(dispensability(*connection), now - connection->since());
            });
        if (worst == connections_.end() || dispensability(**worst) == 0) return false;
        (*worst)->close();
        return true;
    }

    const ServerOptions options_;
    const Handler handler_;
    asio::io_context io_{1};
    tcp::acceptor acceptor_{io_};
    asio::steady_timer retry_{io_};
    std::uint16_t port_ = 0;
    std::unique_ptr<SessionCode> session_;
    std::set<std::shared_ptr<Connection>> connections_;
    bool shut_ = false;
};

LoopbackServer::LoopbackServer(std::unique_ptr<Implementation> implementation)
    : implementation_(std::move(implementation)) {}
LoopbackServer::LoopbackServer(LoopbackServer&&) noexcept = default;
LoopbackServer& LoopbackServer::operator=(LoopbackServer&&) noexcept = default;
LoopbackServer::~LoopbackServer() = default;

std::expected<LoopbackServer, std::string> LoopbackServer::open(ServerOptions options,
                                                                Handler handler) {
    auto implementation = std::make_unique<Implementation>(options, std::move(handler));
    if (const auto trouble = implementation->listen()) {
        return std::unexpected(
            options.port == 0
                ? fmt::format("no port could be opened: {}", trouble.message())
                : fmt::format("port {} could not be opened: {}", options.port, trouble.message()));
    }
    return LoopbackServer(std::move(implementation));
}

std::uint16_t LoopbackServer::port() const {
    return implementation_->port();
}

std::string LoopbackServer::address() const {
    return fmt::format("http://127.0.0.1:{}", port());
}

std::string LoopbackServer::opening_address() const {
    return fmt::format("{}/?code={}", address(), implementation_->session().code());
}

std::string LoopbackServer::new_opening_address() {
    return fmt::format("{}/?code={}", address(), implementation_->session().renew());
}

void LoopbackServer::run(const std::stop_token& stop) {
    implementation_->run(stop);
}

}  // namespace gapwright
