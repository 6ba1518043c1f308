// One connection of a client: requests in, one after the other, and replies out. Internal to the
// layer; all of it runs on the server's one thread.
#pragma once

#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

#include "service/exchange.hpp"
#include "service/request_guard.hpp"
#include "service/server.hpp"
#include "service/session_code.hpp"
#include "service/target.hpp"
#include "service/worker_pool.hpp"

namespace gapwright {

class Connection;

// What all connections share; outlives them.
struct ConnectionSurroundings {
    std::uint16_t port = 0;
    const ServerLimits& limits;
    SessionCode& session;
    const Handler& handler;
    WorkerPool& workers;
    std::function<void(const std::shared_ptr<Connection>&)> left;  // it is closed
};

class Connection : public std::enable_shared_from_this<Connection> {
  public:
    using Clock = std::chrono::steady_clock;

    enum class Stage {
        idle,      // waits for the first byte of a request
        request,   // reads one
        handling,  // a worker has it
        reply,     // writes
        leaving,   // has said all and waits for the client to close
        closed,
    };

    Connection(boost::asio::ip::tcp::socket socket, ConnectionSurroundings& surroundings);

    void start();
    // Tells that there are too many, and leaves.
    void turn_away();
    // At once; whoever works for it is told to stop.
    void close();

    Stage stage() const { return stage_; }
    Clock::time_point since() const { return since_; }  // when the stage began
    // Nothing that it has sent so far shows that it may ask anything.
    bool is_stranger() const { return !admitted_; }

  private:
    using Parser = boost::beast::http::request_parser<boost::beast::http::string_body>;

    void enter(Stage stage, std::chrono::milliseconds time);
    void new_request();
    void read();
    void take(std::size_t bytes);
    void parse();
    bool admit();
    bool answer_expectation();
    RequestFacts facts_of(const RequestTarget& target) const;
    void dispatch();
    void exchange();
    void hand_over();
    void refuse(int status, std::string_view words, bool as_page = false);
    void write(const Reply& reply, const std::vector<std::string>& further = {});
    void written();
    void leave();

    boost::asio::ip::tcp::socket socket_;
    boost::asio::steady_timer deadline_;
    ConnectionSurroundings& surroundings_;
    Stage stage_ = Stage::idle;
    Clock::time_point since_ = Clock::now();
    bool admitted_ = false;  // some request of it has passed the guard

    bool reading_ = false;
    bool ended_ = false;  // the client sends no more
    std::array<char, 4096> incoming_ = {};
    std::string unparsed_;  // at most one header and one read

    std::optional<Parser> parser_;
    std::optional<Admission> admission_;  // of the request being read, once its header is there
    RequestTarget target_;
    std::string type_;
    std::stop_source stop_ = std::stop_source(std::nostopstate);  // of the request being handled

    std::string head_;
    std::string body_;
    bool keep_alive_ = true;
};

}  // namespace gapwright
