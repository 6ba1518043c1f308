// A plan and the two ways to run it: without sockets, and through loopback.
#pragma once

#include "instrument/sweep.hpp"
#include "simulated_channel.hpp"
#include "simulated_server.hpp"

namespace gapwright::testing_support {

// `points` currents from 0.5 mA to 20 mA.
inline SweepPlan plan_of(std::size_t points) {
    SweepPlan plan;
    for (std::size_t k = 0; k < points; ++k) {
        plan.currents.push_back(0.5e-3 +
                                19.5e-3 * static_cast<double>(k) /
                                    static_cast<double>(std::max<std::size_t>(points, 2) - 1));
    }
    plan.voltage_limit = 3;
    plan.largest_current = 50e-3;
    plan.largest_voltage = 5;
    plan.largest_power = 75e-3;
    return plan;
}

// Everything in a simulated time.
struct FakeScene {
    explicit FakeScene(BenchSettings settings) : bench(std::move(settings)) {}

    SweepResult run(const SweepPlan& plan, const std::stop_token& stop = {},
                    const SweepProgress& progress = {}) {
        return run_sweep(instruments(), plan, clock, stop, progress);
    }
    SweepInstruments instruments() {
        SweepInstruments both;
        both.supply = simulated_connect(bench, clock, Role::supply);
        if (with_meter) both.meter = simulated_connect(bench, clock, Role::meter);
        both.table = table;
        return both;
    }

    SimulatedBench bench;
    SimulatedClock clock = {};
    CommandTable table = {};
    bool with_meter = true;
};

// The same through sockets and real time, with short times.
struct SocketScene {
    explicit SocketScene(BenchSettings settings) : bench(std::move(settings)), server(bench) {}

    static SweepPlan quick(SweepPlan plan) {
        plan.settle = 0;
        plan.patience = {.connect = 0.5, .answer = 0.1};
        plan.off_backoff = 0.02;
        plan.off_longest = 20;
        return plan;
    }
    SweepInstruments instruments() const {
        SweepInstruments both;
        both.supply = connector(TcpAddress{"127.0.0.1", server.port(Role::supply)});
        both.meter = connector(TcpAddress{"127.0.0.1", server.port(Role::meter)});
        return both;
    }
    SweepResult run(const SweepPlan& plan, const std::stop_token& stop = {}) {
        SteadyClock clock;
        return run_sweep(instruments(), plan, clock, stop);
    }

    SimulatedBench bench;
    SimulatedServer server;
};

}  // namespace gapwright::testing_support
