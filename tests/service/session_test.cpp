// The code that opens the page once, and the cookie.
#include <gtest/gtest.h>

#include <latch>
#include <set>

#include "service/raw_client.hpp"
#include "service/session_code.hpp"

namespace gapwright {
namespace {

std::string pair_of(const std::string& set_cookie) {
    return set_cookie.substr(0, set_cookie.find(';'));
}

TEST(SessionCode, IsGoodForOneExchange) {
    SessionCode session(4711);
    const std::string code = session.code();
    EXPECT_EQ(code.size(), 64U);
    const auto cookie = session.exchange(code);
    ASSERT_TRUE(cookie.has_value());
    EXPECT_TRUE(cookie->starts_with("gapwright-4711="));
    EXPECT_EQ(cookie->substr(cookie->find(';')), "; HttpOnly; SameSite=Strict; Path=/");
    EXPECT_EQ(pair_of(*cookie).size(), std::string("gapwright-4711=").size() + 64);
    EXPECT_EQ(session.exchange(code), std::nullopt);
    const std::string second = session.renew();
    EXPECT_NE(second, code);
    EXPECT_EQ(session.exchange(code), std::nullopt);
    EXPECT_TRUE(session.exchange(second).has_value());
}

TEST(SessionCode, IsWithdrawnAfterManyWrongOnes) {
    SessionCode session(1);
    for (int i = 1; i < SessionCode::most_wrong_codes; ++i) session.exchange("x");
    EXPECT_TRUE(session.exchange(session.code()).has_value());
    session.renew();
    for (int i = 0; i < SessionCode::most_wrong_codes; ++i) session.exchange(session.code() + "x");
    EXPECT_EQ(session.exchange(session.code()), std::nullopt);
    EXPECT_TRUE(session.exchange(session.renew()).has_value());
}

TEST(SessionCode, KnowsItsCookieAmongOthers) {
    SessionCode session(4711);
    const std::string pair = pair_of(session.exchange(session.code()).value());
    EXPECT_TRUE(session.holds_cookie(pair));
    EXPECT_TRUE(session.holds_cookie("a=b; " + pair + "; c=d"));
    EXPECT_TRUE(session.holds_cookie("gapwright-4711=x; " + pair));
    EXPECT_TRUE(session.holds_cookie(pair + ";gapwright-4711=x"));
    for (const std::string& other :
         {std::string(), std::string("gapwright-4711="), std::string("gapwright-4711"), pair + "0",
          pair.substr(0, pair.size() - 1), "x" + pair, "a=" + pair,
          "gapwright-4712" + pair.substr(14), pair.substr(15), std::string(";;;=;=")}) {
        EXPECT_FALSE(session.holds_cookie(other)) << other;
    }
    EXPECT_FALSE(SessionCode(4711).holds_cookie(pair));
}

TEST(SessionCode, ComparesAll) {
    EXPECT_TRUE(equal_in_constant_time("", ""));
    EXPECT_TRUE(equal_in_constant_time("abc", "abc"));
    EXPECT_FALSE(equal_in_constant_time("abc", "abd"));
    EXPECT_FALSE(equal_in_constant_time("abc", "bbc"));
    EXPECT_FALSE(equal_in_constant_time("abc", "ab"));
    std::set<std::string> secrets;
    for (int i = 0; i < 100; ++i) secrets.insert(random_hex(8));
    EXPECT_EQ(secrets.size(), 100U);
}

std::string opening_request(RunningServer& running) {
    const auto address = running.server().opening_address();
    return "GET " + address.substr(address.find("/?")) + " HTTP/1.1\r\n" + running.host() + "\r\n";
}

TEST(Exchange, ByManyAtOnceGivesOneCookie) {
    RunningServer running(echo);
    const std::string request = opening_request(running);
    std::atomic<int> cookies = 0;
    std::atomic<int> refusals = 0;
    {
        std::latch start(50);
        std::vector<std::jthread> threads;
        for (int i = 0; i < 50; ++i) {
            threads.emplace_back([&] {
                RawClient client(running.port());
                start.arrive_and_wait();
                client.send(request);
                const auto reply = client.reply();
                if (!reply.field("Set-Cookie").empty()) ++cookies;
                if (reply.status == 403) ++refusals;
            });
        }
    }
    EXPECT_EQ(cookies, 1);
    EXPECT_EQ(refusals, 49);
}

TEST(Exchange, LeadsToThePageAndSaysWhatToDoWhereItDoesNot) {
    RunningServer running(echo);
    const std::string request = opening_request(running);
    RawClient client(running.port());
    client.send(request);
    const auto welcome = client.reply();
    EXPECT_EQ(welcome.status, 200);
    EXPECT_TRUE(welcome.body.contains("content=\"0;url=/\""));
    EXPECT_TRUE(welcome.body.contains("<a href=\"/\">"));
    EXPECT_FALSE(welcome.body.contains("<script"));
    client.send("GET / HTTP/1.1\r\n" + running.host() +
                "Cookie: " + pair_of(welcome.field("Set-Cookie")) + "\r\n\r\n");
    EXPECT_EQ(client.reply().body, "GET /");
    client.send(request);
    const auto used = client.reply();
    EXPECT_EQ(used.status, 403);
    EXPECT_TRUE(used.field("Set-Cookie").empty());
    EXPECT_TRUE(used.body.contains("gapwright open"));
    client.send("GET / HTTP/1.1\r\n" + running.host() + "\r\n");
    const auto stranger = client.reply();
    EXPECT_EQ(stranger.status, 403);
    EXPECT_EQ(stranger.field("Content-Type"), "text/html; charset=utf-8");
    EXPECT_TRUE(stranger.body.contains("address in the terminal"));
}

}  // namespace
}  // namespace gapwright
