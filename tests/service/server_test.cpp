// A server that is used badly: too much, too slowly, too often, and left alone.
#include "service/server.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <semaphore>

#include "service/raw_client.hpp"

namespace gapwright {
namespace {

using Clock = std::chrono::steady_clock;
using namespace std::chrono_literals;

// Of this program, in bytes.
std::size_t memory() {
    std::ifstream stream("/proc/self/statm");
    std::size_t all = 0;
    std::size_t resident = 0;
    stream >> all >> resident;
    return resident * static_cast<std::size_t>(::sysconf(_SC_PAGESIZE));
}

void expect_small_growth(std::size_t before) {
#ifndef GAPWRIGHT_SANITIZE  // which keep what was freed
    EXPECT_LT(memory(), before + (std::size_t{32} << 20U));
#else
    static_cast<void>(before);
#endif
}

TEST(Server, ListensOnLoopbackOnly) {
    RunningServer running(echo);
    EXPECT_EQ(running.server().address(), fmt::format("http://127.0.0.1:{}", running.port()));
    EXPECT_TRUE(
        running.server().opening_address().starts_with(running.server().address() + "/?code="));
    EXPECT_TRUE(RawClient(running.port()).connected());
    EXPECT_FALSE(RawClient(running.port(), "127.0.0.2").connected());
}

TEST(Server, SaysThatAPortIsTaken) {
    RunningServer running(echo);
    const auto second = LoopbackServer::open({.port = running.port()}, echo);
    ASSERT_FALSE(second.has_value());
    EXPECT_TRUE(second.error().contains(std::to_string(running.port())));
}

TEST(Server, RefusesABodyOfAGigabyteUnread) {
    RunningServer running(echo);
    const std::size_t before = memory();
    RawClient client(running.port());
    const auto start = Clock::now();
    client.send(running.post_head("Content-Length: 1073741824\r\n"));
    EXPECT_EQ(client.reply().status, 413);
    EXPECT_LT(Clock::now() - start, 500ms);
    // A client that goes on all the same.
    const std::string block(std::size_t{1} << 20U, 'x');
    for (int i = 0; i < 1024 && client.send(block); ++i) {
    }
    EXPECT_TRUE(client.ends(3000));
    expect_small_growth(before);
}

TEST(Server, BoundsABodyOfUnknownLength) {
    RunningServer running(echo);
    const std::size_t before = memory();
    RawClient client(running.port());
    client.send(running.post_head("Transfer-Encoding: chunked\r\n"));
    const std::string block = fmt::format("{:x}\r\n{}\r\n", 1 << 20, std::string(1 << 20, 'x'));
    std::jthread sender([&] {
        for (int i = 0; i < 1024 && client.send(block); ++i) {
        }
    });
    EXPECT_EQ(client.reply().status, 413);
    sender.join();
    expect_small_growth(before);
    // Nor can an endless line between chunks grow.
    RawClient other(running.port());
    other.send(running.post_head("Transfer-Encoding: chunked\r\n") + "1;");
    for (int i = 0; i < 100 && other.send(std::string(1000, 'x')); ++i) {
    }
    EXPECT_GE(other.reply().status, 400);
}

TEST(Server, BoundsAHeader) {
    RunningServer running(echo);
    const std::size_t before = memory();
    RawClient client(running.port());
    client.send("GET / HTTP/1.1\r\n" + running.host());
    for (int i = 0; i < 1000 && client.send("X-Field: " + std::string(1000, 'x') + "\r\n"); ++i) {
    }
    EXPECT_EQ(client.reply().status, 431);
    EXPECT_TRUE(client.ends(3000));
    RawClient line(running.port());
    for (int i = 0; i < 1000 && line.send(std::string(1000, 'G')); ++i) {
    }
    EXPECT_GE(line.reply().status, 400);
    expect_small_growth(before);
    // Up to the limit it is taken.
    RawClient fits(running.port());
    fits.send("GET / HTTP/1.1\r\n" + running.host() + running.cookie() +
              "X: " + std::string(15'000, 'x') + "\r\n\r\n");
    EXPECT_EQ(fits.reply().status, 200);
}

TEST(Server, EndsRequestsThatTakeTooLong) {
    ServerOptions options;
    options.limits.request = 300ms;
    options.limits.idle = 600ms;
    RunningServer running(echo, options);
    for (const std::string& part :
         {std::string("GET / HTTP/1.1\r\n"), running.post_head("Content-Length: 1000\r\n")}) {
        RawClient client(running.port());
        client.send(part);
        const auto start = Clock::now();
        std::jthread dripper([&](const std::stop_token& stop) {
            while (!stop.stop_requested() && client.send("x")) std::this_thread::sleep_for(20ms);
        });
        EXPECT_TRUE(client.ends(5000));
        EXPECT_GT(Clock::now() - start, 200ms);
        EXPECT_LT(Clock::now() - start, 1500ms);
    }
    RawClient silent(running.port());
    EXPECT_TRUE(silent.ends(5000));
}

TEST(Server, AnswersQuicklyWhileManyDrip) {
    RunningServer running(echo);
    const std::string request = running.get("/honest");
    const std::size_t before = memory();
    std::vector<RawClient> drippers;
    for (int i = 0; i < 200; ++i) drippers.emplace_back(running.port());
    std::jthread dripping([&](const std::stop_token& stop) {
        const std::string header = "GET / HTTP/1.1\r\nX: " + std::string(100, 'x');
        for (std::size_t k = 0; !stop.stop_requested(); k = (k + 1) % header.size()) {
            for (auto& dripper : drippers) dripper.send({&header[k], 1});
            // Those that were closed come back.
            for (auto& dripper : drippers) {
                if (!dripper.send("x")) {
                    std::destroy_at(&dripper);
                    std::construct_at(&dripper, running.port());
                }
            }
            std::this_thread::sleep_for(50ms);
        }
    });
    for (int i = 0; i < 20; ++i) {
        std::this_thread::sleep_for(20ms);
        const auto start = Clock::now();
        RawClient honest(running.port());
        honest.send(request);
        EXPECT_EQ(honest.reply().body, "GET /honest");
        EXPECT_LT(Clock::now() - start, 1s);
    }
    expect_small_growth(before);
}

TEST(Server, TurnsAwayWhatIsTooMuch) {
    std::counting_semaphore<1000> go(0);
    ServerOptions options;
    options.workers = 2;
    options.limits.queued = 3;
    RunningServer running(
        [&](const Request& request, const std::stop_token& stop) {
            go.acquire();
            return echo(request, stop);
        },
        options);
    const std::string request = running.get("/x");
    std::vector<RawClient> clients;
    for (int i = 0; i < 8; ++i) {
        clients.emplace_back(running.port());
        clients.back().send(request);
    }
    std::this_thread::sleep_for(200ms);
    go.release(8);
    int answered = 0;
    int turned_away = 0;
    for (auto& client : clients) {
        const auto reply = client.reply();
        answered += reply.status == 200 ? 1 : 0;
        if (reply.status != 503) continue;
        ++turned_away;
        EXPECT_EQ(reply.field("Retry-After"), "1");
        client.send(request);  // the connection is still good
        EXPECT_EQ(client.reply().status, 200);
    }
    EXPECT_EQ(answered, 5);
    EXPECT_EQ(turned_away, 3);
}

TEST(Server, TurnsAwayConnectionsWhereAllAreAtWork) {
    std::counting_semaphore<1000> go(0);
    ServerOptions options;
    options.limits.connections = 4;
    RunningServer running(
        [&](const Request& request, const std::stop_token& stop) {
            go.acquire();
            return echo(request, stop);
        },
        options);
    const std::string request = running.get("/x");
    std::vector<RawClient> clients;
    for (int i = 0; i < 4; ++i) {
        clients.emplace_back(running.port());
        clients.back().send(request);
    }
    std::this_thread::sleep_for(200ms);
    RawClient late(running.port());
    const auto reply = late.reply();
    EXPECT_EQ(reply.status, 503);
    EXPECT_EQ(reply.field("Retry-After"), "1");
    go.release(4);
    for (auto& client : clients) EXPECT_EQ(client.reply().status, 200);
}

TEST(Server, GivesUpOnAClientThatDoesNotRead) {
    ServerOptions options;
    options.limits.reply = 300ms;
    RunningServer running(
        [](const Request& request, const std::stop_token& stop) {
            if (request.path == "/small") return echo(request, stop);
            return Reply{.type = "text/plain", .body = std::string(std::size_t{32} << 20U, 'x')};
        },
        options);
    const std::string small = running.get("/small");
    RawClient client(running.port(), "127.0.0.1", 4096);
    client.send(running.get("/large"));
    // Others are answered meanwhile.
    RawClient other(running.port());
    other.send(small);
    EXPECT_EQ(other.reply().body, "GET /small");
    std::this_thread::sleep_for(1s);
    const auto reply = client.reply();
    EXPECT_EQ(reply.status, 0);  // the rest never came
    EXPECT_FALSE(reply.head.empty());
}

TEST(Server, StopsTheHandlerOfAClientThatHasLeft) {
    std::binary_semaphore started(0);
    std::binary_semaphore stopped(0);
    RunningServer running([&](const Request& request, const std::stop_token& stop) {
        if (request.path != "/slow") return echo(request, stop);
        started.release();
        while (!stop.stop_requested()) std::this_thread::sleep_for(1ms);
        stopped.release();
        return Reply{};
    });
    for (const std::string& further : {std::string(), running.get("/next")}) {
        RawClient client(running.port());
        client.send(running.get("/slow") + further);
        ASSERT_TRUE(started.try_acquire_for(5s));
        EXPECT_FALSE(stopped.try_acquire_for(50ms));
        client.leave();
        EXPECT_TRUE(stopped.try_acquire_for(1s));
    }
    RawClient client(running.port());
    client.send(running.get("/after"));
    EXPECT_EQ(client.reply().body, "GET /after");
}

TEST(Server, StopsAtOnce) {
    std::binary_semaphore started(0);
    RunningServer running([&](const Request&, const std::stop_token& stop) {
        started.release();
        while (!stop.stop_requested()) std::this_thread::sleep_for(1ms);
        return Reply{};
    });
    const std::string slow = running.get("/slow");
    RawClient working(running.port());
    working.send(slow);
    ASSERT_TRUE(started.try_acquire_for(5s));
    RawClient idle(running.port());
    RawClient half(running.port());
    half.send("GET / HT");
    const auto start = Clock::now();
    running.stop();
    EXPECT_LT(Clock::now() - start, 500ms);
    EXPECT_TRUE(working.ends(100));
    EXPECT_TRUE(idle.ends(100));
    EXPECT_TRUE(half.ends(100));
    EXPECT_FALSE(RawClient(running.port()).connected());
}

TEST(Server, ServesManyClientsAtOnce) {
    RunningServer running(echo);
    const std::string request = running.get("/x") + running.post("{}");
    std::vector<std::jthread> threads;
    std::atomic<int> answered = 0;
    for (int i = 0; i < 16; ++i) {
        threads.emplace_back([&] {
            RawClient client(running.port());
            for (int k = 0; k < 100; ++k) {
                client.send(request);
                if (client.reply().body == "GET /x" && client.reply().body == "POST /x|{}")
                    ++answered;
            }
        });
    }
    threads.clear();
    EXPECT_EQ(answered, 1600);
}

}  // namespace
}  // namespace gapwright
