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
    plan.meter = MeterPlace::across_part;
    return plan;
}

// The same with a second supply, the meter across a resistor in its line.
inline SweepPlan fed_plan_of(std::size_t points) {
    SweepPlan plan = plan_of(points);
    plan.feed = FeedPlan{.voltage = 5,
                         .current_limit = 25e-3,
                         .largest_current = 50e-3,
                         .largest_voltage = 30,
                         .largest_power = 150e-3};
    plan.meter = MeterPlace::across_shunt;
    plan.shunt = 100;
    return plan;
}

// A bench for that plan.
inline BenchSettings fed(BenchSettings settings = {}) {
    settings.fed = true;
    settings.leads = MeterLeads::shunt;
    return settings;
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
        both.meter = simulated_connect(bench, clock, Role::meter);
        both.feed = simulated_connect(bench, clock, Role::feed);
        both.table = table;
        return both;
    }

    SimulatedBench bench;
    SimulatedClock clock = {};
    CommandTable table = {};
};

// The same through sockets and real time, with short times.
struct SocketScene {
    explicit SocketScene(BenchSettings settings) : bench(std::move(settings)), server(bench) {}

    // `slower`: for a machine that stands still now and then for longer than an answer may take.
    static SweepPlan quick(SweepPlan plan, double slower = 1) {
        plan.settle = 0;
        plan.patience = {.connect = 0.5 * slower, .answer = 0.1 * slower};
        plan.off_backoff = 0.02;
        plan.off_longest = 20;
        return plan;
    }
    SweepInstruments instruments() const {
        SweepInstruments both;
        both.supply = connector(TcpAddress{"127.0.0.1", server.port(Role::supply)});
        both.meter = connector(TcpAddress{"127.0.0.1", server.port(Role::meter)});
        both.feed = connector(TcpAddress{"127.0.0.1", server.port(Role::feed)});
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
