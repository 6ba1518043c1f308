#include "service/connection.hpp"

#include <algorithm>
#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core/string.hpp>
#include <boost/beast/http/error.hpp>
#include <boost/beast/http/rfc7230.hpp>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <stop_token>
#include <string_view>
#include <utility>
#include <vector>

#include "service/exchange.hpp"
#include "service/reply_text.hpp"
#include "service/request_guard.hpp"
#include "service/target.hpp"

namespace gapwright {
namespace {

namespace asio = boost::asio;
namespace http = boost::beast::http;
using boost::system::error_code;
using namespace std::chrono_literals;

constexpr auto linger = 1000ms;  // for a client to close after the last reply

std::string_view view(boost::beast::string_view text) {
    return {text.data(), text.size()};
}

bool is_sound(const Reply& reply) {
    const auto in_header = [](char letter) { return letter >= ' ' && letter < 0x7F; };
    return reply.status >= 200 && reply.status <= 599 && std::ranges::all_of(reply.type, in_header);
}

}  // namespace

Connection::Connection(asio::ip::tcp::socket socket, ConnectionSurroundings& surroundings)
    : socket_(std::move(socket)), deadline_(socket_.get_executor()), surroundings_(surroundings) {}

void Connection::start() {
    error_code ignored;
    socket_.set_option(asio::ip::tcp::no_delay(true), ignored);
    socket_.non_blocking(true, ignored);
    new_request();
    read();
}

void Connection::turn_away() {
    refuse(503, "Too many connections are open: try again in a moment.");
}

void Connection::close() {
    if (stage_ == Stage::closed) return;
    stage_ = Stage::closed;
    stop_.request_stop();
    deadline_.cancel();
    error_code ignored;
    socket_.close(ignored);
    surroundings_.left(shared_from_this());
}

// A stage ends within its time or the connection does. No time: for as long as it takes.
void Connection::enter(Stage stage, std::chrono::milliseconds time) {
    stage_ = stage;
    since_ = Clock::now();
    if (time == 0ms) {
        deadline_.cancel();
        return;
    }
    deadline_.expires_after(time);
    deadline_.async_wait([self = shared_from_this()](const error_code& trouble) {
        // It may have been put off after it had rung.
        if (!trouble && self->deadline_.expiry() <= Clock::now()) self->close();
    });
}

void Connection::new_request() {
    parser_.emplace();
    parser_->header_limit(static_cast<std::uint32_t>(surroundings_.limits.header));
    parser_->body_limit(surroundings_.limits.body);
    admission_.reset();
    stop_ = std::stop_source(std::nostopstate);
    enter(Stage::idle, surroundings_.limits.idle);
}

// One read is always under way, so that a client that leaves is noticed, unless as much as may be
// waits to be parsed.
void Connection::read() {
    if (reading_ || ended_ || stage_ == Stage::closed) return;
    if (unparsed_.size() >= surroundings_.limits.header + incoming_.size()) return;
    reading_ = true;
    socket_.async_read_some(
        asio::buffer(incoming_),
        [self = shared_from_this()](const error_code& trouble, std::size_t bytes) {
            self->reading_ = false;
            if (self->stage_ == Stage::closed) return;
            if (!trouble) return self->take(bytes);
            self->ended_ = true;
            // What is being written may still reach a client that has only closed its own half.
            if (trouble != asio::error::eof || self->stage_ != Stage::reply) self->close();
        });
}

void Connection::take(std::size_t bytes) {
    if (stage_ != Stage::leaving) unparsed_.append(incoming_.data(), bytes);
    if (stage_ == Stage::idle || stage_ == Stage::request) {
        parse();
    } else {
        read();
    }
}

void Connection::parse() {
    while (!unparsed_.empty()) {
        if (stage_ == Stage::idle) enter(Stage::request, surroundings_.limits.request);
        error_code trouble;
        const std::size_t used = parser_->put(asio::buffer(unparsed_), trouble);
        unparsed_.erase(0, used);
        const bool more = trouble == http::error::need_more;
        if (trouble == http::error::header_limit ||
            (more && unparsed_.size() > surroundings_.limits.header)) {
            return refuse(431, "The header is too long.");
        }
        if (trouble == http::error::body_limit) return refuse(413, "The content is too large.");
        if (trouble && !more) return refuse(400, "This is no request that can be understood.");
        if (parser_->is_header_done() && !admission_) {
            if (!admit()) return;
            parser_->eager(true);
        }
        if (parser_->is_done()) return dispatch();
        if (more || used == 0) break;
    }
    read();
}

RequestFacts Connection::facts_of(const RequestTarget& target) const {
    const auto& header = parser_->get();
    const auto all_of = [&](auto name) {
        std::vector<std::string> values;
        const auto [first, last] = header.equal_range(name);
        for (auto field = first; field != last; ++field) values.emplace_back(view(field->value()));
        return values;
    };
    RequestFacts facts;
    facts.method = view(header.method_string());
    facts.path = target.path;
    facts.has_code = target.query.contains("code");
    facts.hosts = all_of(http::field::host);
    facts.origins = all_of(http::field::origin);
    facts.fetch_sites = all_of("Sec-Fetch-Site");
    facts.fetch_modes = all_of("Sec-Fetch-Mode");
    facts.fetch_dests = all_of("Sec-Fetch-Dest");
    facts.types = all_of(http::field::content_type);
    for (const auto& cookies : all_of(http::field::cookie)) {
        facts.cookie_valid = surroundings_.session.holds_cookie(cookies) || facts.cookie_valid;
    }
    return facts;
}

// Judges a request by its header, before its body takes any room. False where it was refused.
bool Connection::admit() {
    const auto target = parse_target(view(parser_->get().target()));
    if (!target) {
        refuse(400, "This is no address that can be understood.");
        return false;
    }
    const auto facts = facts_of(*target);
    const auto admission = guard(facts, surroundings_.port);
    if (!admission) {
        refuse(admission.error().status, admission.error().words,
               facts.method == "GET" && facts.path == "/");
        return false;
    }
    admission_ = *admission;
    admitted_ = admitted_ || *admission == Admission::handler;
    target_ = *target;
    type_ = facts.types.empty() ? "" : media_type(facts.types.front());
    return answer_expectation();
}

bool Connection::answer_expectation() {
    const auto expected = parser_->get().find(http::field::expect);
    if (expected == parser_->get().end()) return true;
    if (!boost::beast::iequals(expected->value(), "100-continue")) {
        refuse(417, "This expectation cannot be met.");
        return false;
    }
    if (parser_->is_done() || !unparsed_.empty() || parser_->get().version() < 11) return true;
    static constexpr std::string_view go_on = "HTTP/1.1 100 Continue\r\n\r\n";
    error_code trouble;
    // So few bytes find room at once, or the client has not read the last reply.
    if (socket_.send(asio::buffer(go_on), 0, trouble) == go_on.size()) return true;
    close();
    return false;
}

void Connection::dispatch() {
    keep_alive_ = parser_->get().keep_alive();
    if (*admission_ == Admission::exchange) return exchange();
    hand_over();
}

void Connection::exchange() {
    const auto cookie = surroundings_.session.exchange(target_.query.at("code"));
    if (!cookie) return write(unwelcome_reply());
    write(welcome_reply(), {"Set-Cookie: " + *cookie});
}

void Connection::hand_over() {
    auto request = std::make_shared<Request>();
    request->method = parser_->get().method() == http::verb::post ? Method::post : Method::get;
    request->path = std::move(target_.path);
    request->query = std::move(target_.query);
    request->body = std::move(parser_->get().body());
    request->type = type_;
    stop_ = std::stop_source();
    enter(Stage::handling, 0ms);
    // Made beforehand: where memory has run out there is no room to make it.
    const auto reply = std::make_shared<Reply>(
        refusal_reply(500, "The program has met an error of its own.", false));
    const bool taken =
        surroundings_.workers.add([self = shared_from_this(), &handler = surroundings_.handler,
                                   stop = stop_.get_token(), request, reply] {
            if (stop.stop_requested()) return;
            try {
                Reply made = handler(*request, stop);
                if (is_sound(made)) *reply = std::move(made);
            } catch (...) {  // the reply says so already
            }
            asio::post(self->socket_.get_executor(), [self, reply] {
                if (self->stage_ == Stage::handling) self->write(*reply);
            });
        });
    if (!taken) {
        return write(
            refusal_reply(503, "Too much is being worked on: try again in a moment.", false));
    }
    read();
}

// Where what follows cannot be told from what was refused, the connection ends with it.
void Connection::refuse(int status, std::string_view words, bool as_page) {
    const bool understood = status != 400 && parser_ && parser_->is_done();
    keep_alive_ = understood && parser_->get().keep_alive();
    write(refusal_reply(status, words, as_page));
}

void Connection::write(const Reply& reply, const std::vector<std::string>& further) {
    head_ = reply_head(reply, keep_alive_, further);
    const bool head_only =
        parser_ && parser_->is_header_done() && parser_->get().method() == http::verb::head;
    body_ = head_only ? "" : reply.body;
    enter(Stage::reply, surroundings_.limits.reply);
    const std::array<asio::const_buffer, 2> buffers{asio::buffer(head_), asio::buffer(body_)};
    asio::async_write(socket_, buffers,
                      [self = shared_from_this()](const error_code& trouble, std::size_t) {
                          if (self->stage_ == Stage::closed) return;
                          if (trouble) return self->close();
                          self->written();
                      });
    read();
}

void Connection::written() {
    head_ = {};
    body_ = {};
    if (ended_) return close();
    if (!keep_alive_) return leave();
    new_request();
    parse();
}

// Closing at once while the client still sends would make its system throw the reply away.
void Connection::leave() {
    error_code ignored;
    socket_.shutdown(asio::ip::tcp::socket::shutdown_send, ignored);
    enter(Stage::leaving, linger);
    parser_.reset();
    unparsed_ = {};
    read();
}

}  // namespace gapwright
