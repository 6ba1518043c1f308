// A client that sends what it is told to, right or wrong, and a server to try it on.
#pragma once

#include <arpa/inet.h>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <cstring>
#include <future>
#include <memory>
#include <string>
#include <thread>
#include <utility>

#include "service/server.hpp"

namespace gapwright {

struct RawReply {
    int status = 0;  // 0: the connection ended, or nothing came in time
    std::string head;
    std::string body;

    // The value of a header field; empty where it is not there.
    std::string field(const std::string& name) const {
        const auto at = head.find("\r\n" + name + ": ");
        if (at == std::string::npos) return "";
        const auto from = at + name.size() + 4;
        return head.substr(from, head.find("\r\n", from) - from);
    }
};

class RawClient {
  public:
    explicit RawClient(std::uint16_t port, const char* address = "127.0.0.1",
                       int receive_buffer = 0)
        : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
        if (receive_buffer > 0) {
            ::setsockopt(socket_, SOL_SOCKET, SO_RCVBUF, &receive_buffer, sizeof receive_buffer);
        }
        sockaddr_in place = {};
        place.sin_family = AF_INET;
        place.sin_port = htons(port);
        ::inet_pton(AF_INET, address, &place.sin_addr);
        connected_ = ::connect(socket_, reinterpret_cast<sockaddr*>(&place), sizeof place) == 0;
    }
    RawClient(RawClient&& other) noexcept
        : socket_(std::exchange(other.socket_, -1)),
          connected_(other.connected_),
          unread_(std::move(other.unread_)) {}
    RawClient(const RawClient&) = delete;
    RawClient& operator=(const RawClient&) = delete;
    RawClient& operator=(RawClient&&) = delete;
    ~RawClient() { leave(); }

    bool connected() const { return connected_; }

    void leave() {
        if (socket_ >= 0) ::close(std::exchange(socket_, -1));
    }

    // False where the server takes no more within 5 s.
    bool send(std::string_view bytes) {
        while (!bytes.empty()) {
            if (!ready(POLLOUT, 5000)) return false;
            const auto sent =
                ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
            if (sent < 0 && (errno == EAGAIN || errno == EINTR)) continue;
            if (sent <= 0) return false;
            bytes.remove_prefix(static_cast<std::size_t>(sent));
        }
        return true;
    }

    // The next reply; interim ones (1xx) have no body.
    RawReply reply(int milliseconds = 10'000, bool has_body = true) {
        RawReply result;
        std::size_t end = 0;
        while ((end = unread_.find("\r\n\r\n")) == std::string::npos) {
            if (!receive(milliseconds)) return result;
        }
        result.head = unread_.substr(0, end + 2);
        unread_.erase(0, end + 4);
        if (!result.head.starts_with("HTTP/1.1 ")) return result;
        const int status = std::stoi(result.head.substr(9, 3));
        const std::string length = result.field("Content-Length");
        const std::size_t size = length.empty() || !has_body ? 0 : std::stoul(length);
        while (unread_.size() < size) {
            if (!receive(milliseconds)) return result;
        }
        result.body = unread_.substr(0, size);
        unread_.erase(0, size);
        result.status = status;
        return result;
    }

    // Whether the server ends the connection within that time; what it sends is thrown away.
    bool ends(int milliseconds) {
        const auto until =
            std::chrono::steady_clock::now() + std::chrono::milliseconds(milliseconds);
        while (receive(milliseconds)) unread_.clear();
        return std::chrono::steady_clock::now() < until;
    }

  private:
    bool ready(short events, int milliseconds) const {
        pollfd waiting{socket_, events, 0};
        return ::poll(&waiting, 1, milliseconds) > 0;
    }

    bool receive(int milliseconds) {
        char bytes[16384];
        if (!ready(POLLIN, milliseconds)) return false;
        const auto got = ::recv(socket_, bytes, sizeof bytes, 0);
        if (got <= 0) return false;
        unread_.append(bytes, static_cast<std::size_t>(got));
        return true;
    }

    int socket_;
    bool connected_ = false;
    std::string unread_;
};

// A server that runs until the end of the test.
class RunningServer {
  public:
    explicit RunningServer(Handler handler, const ServerOptions& options = {})
        : server_(LoopbackServer::open(options, std::move(handler)).value()),
          thread_([this](const std::stop_token& stop) { server_.run(stop); }) {}

    LoopbackServer& server() { return server_; }
    std::uint16_t port() const { return server_.port(); }
    std::string host() const { return fmt::format("Host: 127.0.0.1:{}\r\n", port()); }
    std::string origin() const { return fmt::format("Origin: http://127.0.0.1:{}\r\n", port()); }

    // Header line of the cookie; the code is exchanged for it at the first call.
    std::string cookie() {
        if (cookie_.empty()) {
            const std::string address = server_.new_opening_address();
            RawClient client(port());
            client.send("GET " + address.substr(address.find("/?")) + " HTTP/1.1\r\n" + host() +
                        "\r\n");
            const std::string set = client.reply().field("Set-Cookie");
            cookie_ = "Cookie: " + set.substr(0, set.find(';')) + "\r\n";
        }
        return cookie_;
    }

    std::string get(const std::string& target) {
        return "GET " + target + " HTTP/1.1\r\n" + host() + cookie() + "\r\n";
    }
    // Header of a post with a body of that length.
    std::string post_head(const std::string& length_line) {
        return "POST /x HTTP/1.1\r\n" + host() + cookie() + origin() +
               "Content-Type: application/json\r\n" + length_line + "\r\n";
    }
    std::string post(const std::string& body) {
        return post_head(fmt::format("Content-Length: {}\r\n", body.size())) + body;
    }

    void stop() {
        thread_.request_stop();
        thread_.join();
    }

  private:
    LoopbackServer server_;
    std::string cookie_;
    std::jthread thread_;
};

inline Reply echo(const Request& request, const std::stop_token&) {
    Reply reply;
    reply.type = "text/plain; charset=utf-8";
    reply.body = (request.method == Method::get ? "GET " : "POST ") + request.path;
    for (const auto& [name, value] : request.query) reply.body += "|" + name + "=" + value;
    if (!request.body.empty()) reply.body += "|" + request.body;
    return reply;
}

}  // namespace gapwright
