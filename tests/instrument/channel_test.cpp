// Channels over real descriptors: sockets, a pseudo-terminal as serial line, what is no USBTMC.
#include "instrument/channel.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <pty.h>
#include <sys/resource.h>
#include <termios.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <thread>

#include "instrument/clock.hpp"
#include "sweep_scene.hpp"

namespace gapwright {
namespace {

using namespace testing_support;
using Channels = std::unique_ptr<Channel>;

// A pseudo-terminal; what is at its other end is `instrument`.
struct PseudoTerminal {
    PseudoTerminal() {
        char path[256] = {};
        EXPECT_EQ(openpty(&instrument, &terminal, path, nullptr, nullptr), 0);
        name = path;
    }
    ~PseudoTerminal() {
        if (instrument >= 0) close(instrument);
        close(terminal);
    }
    void say(std::string_view bytes) const {
        EXPECT_EQ(::write(instrument, bytes.data(), bytes.size()),
                  static_cast<ssize_t>(bytes.size()));
    }
    int instrument = -1;
    int terminal = -1;
    std::string name;
};

Channels open_terminal(const PseudoTerminal& terminal, unsigned baud = 9600) {
    auto channel = connector(SerialAddress{terminal.name, baud})(1, {});
    EXPECT_TRUE(channel) << (channel ? "" : channel.error().message);
    return channel ? std::move(*channel) : nullptr;
}

TEST(SerialChannel, CarriesLinesBothWays) {
    const PseudoTerminal terminal;
    const Channels channel = open_terminal(terminal, 115200);
    ASSERT_TRUE(channel);
    ASSERT_TRUE(channel->write("*IDN?\n", 1));
    char heard[16] = {};
    EXPECT_EQ(::read(terminal.instrument, heard, sizeof heard), 6);  // no CR added, nothing echoed
    EXPECT_EQ(std::string(heard), "*IDN?\n");
    terminal.say("A,B\r\n1.5\n");
    EXPECT_EQ(channel->read_line(1, {}).value(), "A,B");
    EXPECT_EQ(channel->read_line(1, {}).value(), "1.5");
    termios line = {};
    ASSERT_EQ(tcgetattr(terminal.terminal, &line), 0);
    EXPECT_EQ(cfgetospeed(&line), static_cast<speed_t>(B115200));
    EXPECT_EQ(line.c_cflag & (PARENB | CSTOPB | CSIZE), static_cast<tcflag_t>(CS8));
}

TEST(SerialChannel, ControlBytesAreNoSignalsAndNoText) {
    const PseudoTerminal terminal;
    const Channels channel = open_terminal(terminal);
    ASSERT_TRUE(channel);
    terminal.say(std::string_view("\x03\x1a\x00x\n1\n", 7));
    EXPECT_EQ(channel->read_line(1, {}).error().kind, InstrumentFault::not_text);
    EXPECT_EQ(channel->read_line(1, {}).value(), "1");
}

TEST(SerialChannel, EndsTellTheirReason) {
    PseudoTerminal terminal;
    const Channels channel = open_terminal(terminal);
    ASSERT_TRUE(channel);
    EXPECT_EQ(channel->read_line(0.05, {}).error().kind, InstrumentFault::timeout);
    terminal.say("half");
    EXPECT_EQ(channel->read_line(0.05, {}).error().kind, InstrumentFault::timeout);
    terminal.say(" and half\n");
    EXPECT_EQ(channel->read_line(1, {}).value(), "half and half");
    terminal.say("old\nold");
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
    channel->discard();
    terminal.say("new\n");
    EXPECT_EQ(channel->read_line(1, {}).value(), "new");
    close(std::exchange(terminal.instrument, -1));  // the plug is pulled
    EXPECT_EQ(channel->read_line(1, {}).error().kind, InstrumentFault::closed);
}

TEST(SerialChannel, ASweepRunsOverIt) {
    const PseudoTerminal terminal;
    SimulatedBench bench({});
    std::jthread instrument([&](const std::stop_token& stop) {
        SimulatedLine line;
        std::string heard;
        fcntl(terminal.instrument, F_SETFL, O_NONBLOCK);
        while (!stop.stop_requested()) {
            char block[256];
            const auto got = ::read(terminal.instrument, block, sizeof block);
            if (got > 0) heard.append(block, static_cast<std::size_t>(got));
            for (std::size_t at; (at = heard.find('\n')) != std::string::npos;) {
                terminal.say(bench.hear(line, heard.substr(0, at)).bytes);
                heard.erase(0, at + 1);
            }
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
    });
    SweepInstruments instruments;
    instruments.supply = connector(SerialAddress{terminal.name, 9600});
    SteadyClock clock;
    SweepPlan plan = plan_of(5);
    plan.meter = MeterPlace::none;
    plan.settle = 0;
    const SweepResult result = run_sweep(instruments, plan, clock, {});
    EXPECT_EQ(result.end, SweepEnd::complete) << result.message;
    EXPECT_EQ(result.points.size(), 5U);
    EXPECT_TRUE(bench.was_ever_on());
    EXPECT_FALSE(bench.output_is_on());
}

TEST(Channels, WhatCannotBeOpenedIsToldWithItsReason) {
    const auto told = [](const Address& address) {
        const auto channel = connector(address)(1, {});
        EXPECT_FALSE(channel);
        EXPECT_EQ(channel.error().kind, InstrumentFault::refused);
        return channel ? "" : channel.error().message;
    };
    EXPECT_NE(told(SerialAddress{"/dev/no-such-line"}).find("No such file"), std::string::npos);
    EXPECT_NE(told(SerialAddress{"/dev/null"}).find("no serial line"), std::string::npos);
    EXPECT_NE(told(UsbtmcAddress{"/dev/no-such-device"}).find("No such file"), std::string::npos);
    EXPECT_NE(told(UsbtmcAddress{"/dev/null"}).find("no USBTMC"), std::string::npos);
    EXPECT_NE(told(TcpAddress{"127.0.0.1", 1}).find("refused"), std::string::npos);
}

// An answer of 64 MB without an end: an error soon, and no memory for it.
TEST(TcpChannel, AFloodIsAnErrorAndTakesNoMemory) {
    BenchSettings settings;
    settings.mishaps = {{Mishap::flood, Role::meter, 0}};
    SocketScene scene(settings);
    auto channel = connector(TcpAddress{"127.0.0.1", scene.server.port(Role::meter)})(1, {});
    ASSERT_TRUE(channel);
    rusage before = {};
    getrusage(RUSAGE_SELF, &before);
    ASSERT_TRUE((*channel)->write("READ?\n", 1));
    for (int k = 0; k < 2000; ++k) {
        const auto line = (*channel)->read_line(1, {});
        ASSERT_FALSE(line);
        ASSERT_EQ(line.error().kind, InstrumentFault::too_long);
        if (k % 100 == 0) (*channel)->discard();
    }
    rusage after = {};
    getrusage(RUSAGE_SELF, &after);
    EXPECT_LT(after.ru_maxrss - before.ru_maxrss, 8192);  // KiB
}

TEST(TcpChannel, AStopEndsAWaitAtOnce) {
    BenchSettings settings;
    settings.mishaps = {{Mishap::silence, Role::meter, 0}};
    SocketScene scene(settings);
    auto channel = connector(TcpAddress{"127.0.0.1", scene.server.port(Role::meter)})(1, {});
    ASSERT_TRUE(channel);
    ASSERT_TRUE((*channel)->write("READ?\n", 1));
    std::stop_source stop;
    const SteadyClock clock;
    std::jthread later([&] {
        std::this_thread::sleep_for(std::chrono::milliseconds(50));
        stop.request_stop();
    });
    const double begin = clock.now();
    const auto line = (*channel)->read_line(10, stop.get_token());
    EXPECT_EQ(line.error().kind, InstrumentFault::interrupted);
    EXPECT_LT(clock.now() - begin, 1);
}

TEST(TcpChannel, APeerThatIsGoneIsAnErrorAndNoSignal) {
    auto scene = std::make_unique<SocketScene>(BenchSettings{});
    auto channel = connector(TcpAddress{"127.0.0.1", scene->server.port(Role::meter)})(1, {});
    ASSERT_TRUE(channel);
    scene.reset();
    bool closed = false;
    for (int k = 0; k < 50 && !closed; ++k) {
        const auto sent = (*channel)->write("READ?\n", 1);
        closed = !sent && sent.error().kind == InstrumentFault::closed;
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    EXPECT_TRUE(closed);
    EXPECT_EQ((*channel)->read_line(1, {}).error().kind, InstrumentFault::closed);
}

}  // namespace
}  // namespace gapwright
