// Requests as handlers see them and replies as clients do.
#include <gtest/gtest.h>

#include <stdexcept>

#include "service/raw_client.hpp"
#include "service/reply_text.hpp"
#include "service/target.hpp"

namespace gapwright {
namespace {

TEST(RequestTarget, IsDecodedAndNoMore) {
    const auto path = [](std::string_view text) {
        const auto target = parse_target(text);
        return target ? target->path : "(none)";
    };
    EXPECT_EQ(path("/"), "/");
    EXPECT_EQ(path("/a%20b+c"), "/a b+c");
    EXPECT_EQ(path("/%c3%A4"), "/ä");
    EXPECT_EQ(path("/../../etc/passwd"), "/../../etc/passwd");
    EXPECT_EQ(path("/%2e%2e/%2e%2e/etc"), "/../../etc");
    EXPECT_EQ(path("/..%2f..%5cetc"), "/../..\\etc");
    EXPECT_EQ(path("/%252e%252e"), "/%2e%2e");
    EXPECT_EQ(path("//example.org"), "//example.org");
    using namespace std::string_literals;
    for (const auto& bad : {""s,          "a"s,       "*"s,         "http://127.0.0.1/"s,
                            "/%"s,        "/%2"s,     "/%zz"s,      "/%+1"s,
                            "/%00"s,      "/a%00b"s,  "/%0a"s,      "/%0D%0A"s,
                            "/%7f"s,      "/%ff"s,    "/%c0%ae"s,   "/%ed%a0%80"s,
                            "/\xC3\xA4"s, "/a b"s,    "/a#b"s,      "/\0"s,
                            "/?a=%"s,     "/?%00=1"s, "/?a=1&a=2"s, "/?a=1&%61=2"s}) {
        EXPECT_EQ(path(bad), "(none)") << bad;
    }
    const auto target = parse_target("/x?a=1+2%2B3&b&=d&e=f=g&&h=?");
    ASSERT_TRUE(target.has_value());
    EXPECT_EQ(target->query, (std::map<std::string, std::string>{
                                 {"a", "1 2+3"}, {"b", ""}, {"", "d"}, {"e", "f=g"}, {"h", "?"}}));
}

TEST(ContentDisposition, HasBothForms) {
    EXPECT_EQ(content_disposition("bell.link.toml"),
              "attachment; filename=\"bell.link.toml\"; filename*=UTF-8''bell.link.toml");
    EXPECT_EQ(content_disposition("a \"b\"\r\nX: ä€/..\\"),
              "attachment; filename=\"a _b___X_ ___.._\"; "
              "filename*=UTF-8''a%20%22b%22%0D%0AX%3A%20%C3%A4%E2%82%AC%2F..%5C");
}

TEST(Reply, BearsWhatKeepsOthersOut) {
    RunningServer running(echo);
    const std::string requests[] = {running.get("/x"),
                                    "GET /x HTTP/1.1\r\n" + running.host() + "\r\n",
                                    "PUT /x HTTP/1.1\r\n" + running.host() + "\r\n",
                                    "GET /?code=x HTTP/1.1\r\n" + running.host() + "\r\n",
                                    "GET / HTTP/1.1\r\n\r\n",
                                    "x\r\n\r\n"};
    for (const auto& request : requests) {
        RawClient client(running.port());
        client.send(request);
        const auto reply = client.reply();
        ASSERT_NE(reply.status, 0) << request;
        EXPECT_EQ(reply.field("Content-Security-Policy"),
                  "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: "
                  "data:; connect-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri "
                  "'none'");
        EXPECT_EQ(reply.field("X-Content-Type-Options"), "nosniff");
        EXPECT_EQ(reply.field("Referrer-Policy"), "no-referrer");
        EXPECT_EQ(reply.field("Cross-Origin-Opener-Policy"), "same-origin");
        EXPECT_EQ(reply.field("Cross-Origin-Resource-Policy"), "same-origin");
        EXPECT_EQ(reply.field("Cache-Control"), "no-store");
        EXPECT_EQ(reply.field("X-Frame-Options"), "DENY");
    }
}

TEST(Requests, ReachTheHandlerAsTheyWereMeant) {
    RunningServer running(echo);
    RawClient client(running.port());
    const auto answer = [&](const std::string& request) {
        client.send(request);
        const auto reply = client.reply();
        return reply.status == 200 ? reply.body : std::to_string(reply.status);
    };
    EXPECT_EQ(answer(running.get("/%2e%2e/a%20b?q=%C3%A4&r=1+2")), "GET /../a b|q=ä|r=1 2");
    EXPECT_EQ(answer(running.post("{\"a\": 1}")), "POST /x|{\"a\": 1}");
    EXPECT_EQ(answer(running.post_head("Transfer-Encoding: chunked\r\n") +
                     "3\r\nabc\r\n4;x=y\r\ndefg\r\n0\r\n\r\n"),
              "POST /x|abcdefg");
    EXPECT_EQ(answer(running.post_head("Content-Length: 0\r\n")), "POST /x");
    const std::string large((std::size_t{8} << 20U) - 1, 'x');
    EXPECT_EQ(answer(running.post(large)), "POST /x|" + large);
    EXPECT_EQ(answer(running.get("/after")), "GET /after");
}

TEST(Requests, ThatAreMalformedAreRefused) {
    std::atomic<int> handled = 0;
    RunningServer running([&](const Request& request, const std::stop_token& stop) {
        ++handled;
        return echo(request, stop);
    });
    const std::string head = running.host() + running.cookie();
    const std::string post = head + running.origin() + "Content-Type: application/json\r\n";
    using namespace std::string_literals;
    const std::string requests[] = {
        "\0\0\0\0\r\n\r\n"s,
        "GET\r\n\r\n"s,
        "GET / HTTP/9.9\r\n" + head + "\r\n",
        "GET /%zz HTTP/1.1\r\n" + head + "\r\n",
        "GET /%00 HTTP/1.1\r\n" + head + "\r\n",
        "GET /a\0b HTTP/1.1\r\n"s + head + "\r\n",
        "GET http://127.0.0.1/ HTTP/1.1\r\n" + head + "\r\n",
        "GET * HTTP/1.1\r\n" + head + "\r\n",
        "GET / HTTP/1.1\r\nbad header\r\n" + head + "\r\n",
        "GET / HTTP/1.1\r\nX: a\r\n\tb: c\0\r\n"s + head + "\r\n",
        "POST / HTTP/1.1\r\n" + post + "Content-Length: -1\r\n\r\n",
        "POST / HTTP/1.1\r\n" + post + "Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}",
        "POST / HTTP/1.1\r\n" + post + "Content-Length: 99999999999999999999999\r\n\r\n",
        "POST / HTTP/1.1\r\n" + post + "Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n{}",
        "POST / HTTP/1.1\r\n" + post + "Transfer-Encoding: chunked\r\nContent-Length: 2\r\n\r\n{}",
        "POST / HTTP/1.1\r\n" + post + "Transfer-Encoding: chunked\r\n\r\nxyz\r\n",
        "POST / HTTP/1.1\r\n" + post + "Transfer-Encoding: chunked\r\n\r\nffffffffffffffffff\r\n"};
    for (const auto& request : requests) {
        RawClient client(running.port());
        client.send(request);
        const auto reply = client.reply(2000);
        EXPECT_TRUE(reply.status == 400 || reply.status == 413) << reply.status << "\n" << request;
        EXPECT_TRUE(client.ends(3000)) << request;
    }
    EXPECT_EQ(handled, 0);
}

TEST(Requests, MayComeAllAtOnce) {
    RunningServer running(echo);
    RawClient client(running.port());
    std::string all;
    for (int i = 0; i < 100; ++i) {
        all += running.get(fmt::format("/{}", i));
        all += running.post(fmt::format("body {}", i));
    }
    std::jthread sender([&] { client.send(all); });
    for (int i = 0; i < 100; ++i) {
        EXPECT_EQ(client.reply().body, fmt::format("GET /{}", i));
        EXPECT_EQ(client.reply().body, fmt::format("POST /x|body {}", i));
    }
}

TEST(Requests, MayComeByteByByte) {
    RunningServer running(echo);
    RawClient client(running.port());
    for (const char letter : running.post("{}") + running.get("/b")) client.send({&letter, 1});
    EXPECT_EQ(client.reply().body, "POST /x|{}");
    EXPECT_EQ(client.reply().body, "GET /b");
}

TEST(Requests, ThatAskWhetherToGoOnAreTold) {
    RunningServer running(echo);
    RawClient client(running.port());
    client.send(running.post_head("Content-Length: 2\r\nExpect: 100-continue\r\n"));
    EXPECT_EQ(client.reply(5000, false).status, 100);
    client.send("{}");
    EXPECT_EQ(client.reply().body, "POST /x|{}");
    client.send(running.post_head("Content-Length: 2\r\nExpect: 100-continue\r\n") + "{}");
    EXPECT_EQ(client.reply().body, "POST /x|{}");
    client.send("POST /x HTTP/1.1\r\n" + running.host() +
                "Content-Length: 2\r\nExpect: 100-continue\r\n\r\n");
    EXPECT_EQ(client.reply().status, 403);
    RawClient other(running.port());
    other.send(running.post_head("Content-Length: 2\r\nExpect: tea\r\n"));
    EXPECT_EQ(other.reply().status, 417);
}

TEST(Requests, EndTheConnectionWhereTheyAskFor) {
    RunningServer running(echo);
    RawClient client(running.port());
    client.send("GET / HTTP/1.1\r\n" + running.host() + running.cookie() +
                "Connection: close\r\n\r\n");
    EXPECT_EQ(client.reply().field("Connection"), "close");
    EXPECT_TRUE(client.ends(3000));
}

TEST(Handlers, ThatThrowBecomeAReply) {
    RunningServer running([](const Request& request, const std::stop_token&) -> Reply {
        if (request.path == "/type") return {.type = "text/plain\r\nX: y"};
        if (request.path == "/status") return {.status = 42};
        throw std::runtime_error("a secret");
    });
    RawClient client(running.port());
    for (const char* path : {"/", "/type", "/status"}) {
        client.send(running.get(path));
        const auto reply = client.reply();
        EXPECT_EQ(reply.status, 500);
        EXPECT_FALSE((reply.head + reply.body).contains("secret"));
        EXPECT_EQ(reply.field("X"), "");
    }
}

TEST(Handlers, MayOfferADownload) {
    RunningServer running([](const Request&, const std::stop_token&) {
        return Reply{.type = "text/csv", .body = "a,b\r\n", .download_name = "größe.csv"};
    });
    RawClient client(running.port());
    client.send(running.get("/"));
    EXPECT_EQ(client.reply().field("Content-Disposition"),
              "attachment; filename=\"gr__e.csv\"; filename*=UTF-8''gr%C3%B6%C3%9Fe.csv");
}

}  // namespace
}  // namespace gapwright
