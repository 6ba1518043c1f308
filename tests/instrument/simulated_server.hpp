// The simulated bench on loopback sockets.
#pragma once

#include <cstdint>
#include <list>
#include <thread>

#include "simulated_bench.hpp"

namespace gapwright::testing_support {

// Serves the bench on three ports of its own until it goes. No address is left behind where the
// bench refuses connections for a while: the port is then closed, as of an instrument that is off.
class SimulatedServer {
  public:
    explicit SimulatedServer(SimulatedBench& bench);
    SimulatedServer(const SimulatedServer&) = delete;
    SimulatedServer& operator=(const SimulatedServer&) = delete;
    ~SimulatedServer();

    std::uint16_t port(Role role) const { return ports_[static_cast<int>(role)]; }

    // From now on takes no connection to that instrument and cuts those that there are.
    void vanish(Role role) { vanished_[static_cast<int>(role)] = true; }

  private:
    struct Connection {
        int fd = -1;
        SimulatedLine line = {};
        std::string heard = {};
        struct Pending {
            double due = 0;
            std::string bytes;
        };
        std::list<Pending> pending = {};
        std::size_t flood = 0;  // bytes still to be sent
        bool close = false;     // once everything is sent
    };

    void serve(const std::stop_token& stop);
    void listen_again(double now);
    void hear(Connection& connection);
    void react(Connection& connection, const std::string& message);
    void answer(Connection& connection, double now) const;

    SimulatedBench& bench_;
    int listeners_[role_count] = {-1, -1, -1};
    std::uint16_t ports_[role_count] = {};
    double refuse_until_[role_count] = {};
    std::atomic<bool> vanished_[role_count] = {};
    std::list<Connection> connections_ = {};
    std::jthread thread_;
};

}  // namespace gapwright::testing_support
