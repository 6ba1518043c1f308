// Every combination of what a request can say of itself, by the function and over a socket. What is
// let through is a short list, written here by hand; all else is refused.
#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <sstream>

#include "service/raw_client.hpp"
#include "service/request_guard.hpp"

namespace gapwright {
namespace {

using Names = std::set<std::string>;

// A case of one kind: its name, and the header lines that it stands for; @ is the port, # another.
struct Choice {
    std::string name;
    std::string lines;
};

const std::vector<Choice> hosts{{"exact", "Host: 127.0.0.1:@"},
                                {"missing", ""},
                                {"twice", "Host: 127.0.0.1:@\nHost: 127.0.0.1:@"},
                                {"name", "Host: localhost:@"},
                                {"no port", "Host: 127.0.0.1"},
                                {"other port", "Host: 127.0.0.1:#"},
                                {"foreign", "Host: example.org:@"},
                                {"ipv6", "Host: [::1]:@"}};
const std::vector<Choice> origins{
    {"none", ""},
    {"own", "Origin: http://127.0.0.1:@"},
    {"null", "Origin: null"},
    {"other port", "Origin: http://127.0.0.1:#"},
    {"other scheme", "Origin: https://127.0.0.1:@"},
    {"other case", "Origin: HTTP://127.0.0.1:@"},
    {"name", "Origin: http://localhost:@"},
    {"foreign", "Origin: http://example.org"},
    {"twice", "Origin: http://127.0.0.1:@\nOrigin: http://127.0.0.1:@"}};

std::string fetch(const std::string& site, const std::string& mode, const std::string& dest) {
    return "Sec-Fetch-Site: " + site + "\nSec-Fetch-Mode: " + mode + "\nSec-Fetch-Dest: " + dest;
}
const std::vector<Choice> fetches{
    {"unsaid", ""},
    {"own script", fetch("same-origin", "cors", "empty")},
    {"own link", fetch("same-origin", "navigate", "document")},
    {"typed", fetch("none", "navigate", "document")},
    {"none, script", fetch("none", "cors", "empty")},
    {"none, frame", fetch("none", "navigate", "iframe")},
    {"site's link", fetch("same-site", "navigate", "document")},
    {"site's script", fetch("same-site", "cors", "empty")},
    {"foreign link", fetch("cross-site", "navigate", "document")},
    {"foreign frame", fetch("cross-site", "navigate", "iframe")},
    {"foreign picture", fetch("cross-site", "no-cors", "image")},
    {"twice", "Sec-Fetch-Site: same-origin\n" + fetch("same-origin", "cors", "empty")}};
const Names tokens{"nothing", "wrong cookie", "cookie", "code", "wrong code"};
const Names methods{"GET", "POST", "HEAD", "PUT", "DELETE", "OPTIONS"};
const Names paths{"/", "/api"};

struct Cell {
    Choice host, origin, fetch;
    std::string token, method, path;

    std::string name() const {
        return method + " " + path + ", token " + token + ", host " + host.name + ", origin " +
               origin.name + ", fetch " + fetch.name;
    }
};

// All that is let through.
struct Allowed {
    std::string method;
    Names paths, tokens, origins, fetches;
};
const std::vector<Allowed> allowed{
    {"GET",
     {"/", "/api"},
     {"cookie"},
     {"none", "own"},
     {"unsaid", "own script", "own link", "typed"}},
    {"GET",
     {"/"},
     {"code", "wrong code"},
     {"none", "own"},
     {"unsaid", "own link", "typed", "site's link", "foreign link"}},
    {"POST", {"/", "/api"}, {"cookie"}, {"own"}, {"unsaid", "own script", "own link"}}};

bool is_allowed(const Cell& cell) {
    if (cell.host.name != "exact") return false;
    return std::ranges::any_of(allowed, [&](const Allowed& row) {
        return row.method == cell.method && row.paths.contains(cell.path) &&
               row.tokens.contains(cell.token) && row.origins.contains(cell.origin.name) &&
               row.fetches.contains(cell.fetch.name);
    });
}

std::vector<Cell> cells() {
    std::vector<Cell> result;
    for (const auto& host : hosts)
        for (const auto& origin : origins)
            for (const auto& fetch : fetches)
                for (const auto& token : tokens)
                    for (const auto& method : methods)
                        for (const auto& path : paths)
                            result.push_back({host, origin, fetch, token, method, path});
    return result;
}

std::string with_ports(std::string text, int port) {
    for (const auto& [sign, number] : {std::pair('@', port), std::pair('#', port ^ 1)}) {
        for (auto at = text.find(sign); at != std::string::npos; at = text.find(sign)) {
            text.replace(at, 1, std::to_string(number));
        }
    }
    return text;
}

std::vector<std::string> values(const std::string& lines, const std::string& field, int port) {
    std::vector<std::string> result;
    std::istringstream stream(with_ports(lines, port));
    for (std::string line; std::getline(stream, line);) {
        if (line.starts_with(field + ": ")) result.push_back(line.substr(field.size() + 2));
    }
    return result;
}

TEST(RequestGuard, LetsThroughWhatIsListedAndNothingElse) {
    constexpr std::uint16_t port = 40123;
    ASSERT_GE(cells().size(), 500U);
    std::size_t through = 0;
    for (const auto& cell : cells()) {
        RequestFacts facts;
        facts.method = cell.method;
        facts.path = cell.path;
        facts.has_code = cell.token.ends_with("code");
        facts.cookie_valid = cell.token == "cookie";
        facts.hosts = values(cell.host.lines, "Host", port);
        facts.origins = values(cell.origin.lines, "Origin", port);
        facts.fetch_sites = values(cell.fetch.lines, "Sec-Fetch-Site", port);
        facts.fetch_modes = values(cell.fetch.lines, "Sec-Fetch-Mode", port);
        facts.fetch_dests = values(cell.fetch.lines, "Sec-Fetch-Dest", port);
        facts.types = {"application/json"};
        const auto admission = guard(facts, port);
        ASSERT_EQ(admission.has_value(), is_allowed(cell)) << cell.name();
        if (!admission) {
            ASSERT_GE(admission.error().status, 400) << cell.name();
            ASSERT_FALSE(admission.error().words.empty());
            continue;
        }
        ++through;
        ASSERT_EQ(*admission == Admission::exchange, facts.has_code) << cell.name();
    }
    EXPECT_EQ(through, 2U * 2 * 4 + 2U * 2 * 5 + 2U * 3);
}

TEST(RequestGuard, HoldsOverASocket) {
    std::atomic<int> handled = 0;
    RunningServer running([&](const Request& request, const std::stop_token& stop) {
        ++handled;
        return echo(request, stop);
    });
    const std::string cookie = running.cookie();
    auto client = std::make_unique<RawClient>(running.port());
    int expected = 0;
    int exchanged = 0;
    for (const auto& cell : cells()) {
        std::string target = cell.path;
        std::string lines;
        const bool lets = is_allowed(cell);
        if (cell.token.ends_with("code")) {
            const auto address = running.server().new_opening_address();
            target += cell.token == "code" ? "?" + address.substr(address.find("code="))
                                           : "?code=" + std::string(64, '0');
        }
        if (cell.token == "cookie") lines += cookie;
        if (cell.token == "wrong cookie") {
            lines +=
                fmt::format("Cookie: gapwright-{}={}\r\n", running.port(), std::string(64, 'a'));
        }
        std::istringstream headers(cell.host.lines + "\n" + cell.origin.lines + "\n" +
                                   cell.fetch.lines);
        for (std::string line; std::getline(headers, line);) {
            if (!line.empty()) lines += with_ports(line, running.port()) + "\r\n";
        }
        const std::string body = cell.method == "POST" ? "{}" : "";
        if (!body.empty()) lines += "Content-Type: application/json\r\nContent-Length: 2\r\n";
        client->send(cell.method + " " + target + " HTTP/1.1\r\n" + lines + "\r\n" + body);
        const auto reply = client->reply(10'000, cell.method != "HEAD");
        const bool welcomed = !reply.field("Set-Cookie").empty();
        ASSERT_EQ(welcomed, lets && cell.token == "code") << cell.name();
        ASSERT_EQ(reply.status == 200, lets && cell.token != "wrong code") << cell.name();
        if (reply.status != 200) {
            ASSERT_TRUE(reply.status == 400 || reply.status == 403 || reply.status == 405)
                << reply.status << cell.name();
        }
        if (lets && cell.token == "cookie") ++expected;
        exchanged += welcomed ? 1 : 0;
        ASSERT_EQ(handled, expected) << cell.name();
        if (reply.field("Connection") == "close") {
            client = std::make_unique<RawClient>(running.port());
        }
    }
    EXPECT_EQ(expected, 16 + 6);
    EXPECT_EQ(exchanged, 10);
}

TEST(RequestGuard, TakesFewTypesOfContent) {
    RequestFacts facts;
    facts.method = "POST";
    facts.path = "/";
    facts.cookie_valid = true;
    facts.hosts = {"127.0.0.1:80"};
    facts.origins = {"http://127.0.0.1:80"};
    for (const char* type :
         {"application/json", "application/json; charset=utf-8", "Application/JSON",
          "application/octet-stream", "image/png", "image/jpeg", "text/csv ;header=present"}) {
        facts.types = {type};
        EXPECT_TRUE(guard(facts, 80).has_value()) << type;
    }
    // Those that a form of another page could send are not among them.
    for (const char* type :
         {"text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "",
          "application/jsonx", "text/plain; application/json", "image/svg+xml"}) {
        facts.types = {type};
        EXPECT_EQ(guard(facts, 80).error().status, 415) << type;
    }
    facts.types = {};
    EXPECT_EQ(guard(facts, 80).error().status, 415);
    facts.types = {"application/json", "application/json"};
    EXPECT_EQ(guard(facts, 80).error().status, 415);
}

}  // namespace
}  // namespace gapwright
