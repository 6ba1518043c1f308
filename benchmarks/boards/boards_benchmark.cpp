// How long a board's plan takes, for every example and board; and how its wires compare with the
// best that a search of sixty seconds finds (SECONDS_OF_SEARCH in the environment: other than 60;
// 0 leaves it out).
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>

#include "board/plan_board.hpp"
#include "build/wiring_of_link.hpp"

namespace {

using namespace gapwright;

constexpr const char* examples[] = {"bell-hammer",   "chime-bus",     "lamp-watch",
                                    "night-silence", "pendulum-beat", "winder-motor"};

Wiring example(const std::string& name) {
    return wiring_of(
        *read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml"));
}

void plan(benchmark::State& state, const std::string& name, BoardKind kind) {
    const Wiring wiring = example(name);
    double length = 0;
    for (auto _ : state) length = wire_length(*plan_board(wiring, {.kind = kind}));
    state.counters["wires_mm"] = length * 1e3;
}

// Other seeds, one after the other, until the time is up.
double best_of_long_search(const Wiring& wiring, BoardKind kind, double seconds) {
    const auto begin = std::chrono::steady_clock::now();
    const auto late = [&] {
        return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count() >
               seconds;
    };
    double best = 1e300;
    for (std::uint64_t seed = 1000; !late(); ++seed) {
        const auto found = plan_board(wiring, {.kind = kind, .seed = seed, .stop = late});
        if (found) best = std::min(best, wire_length(*found));
    }
    return best;
}

void compare() {
    const char* stated = std::getenv("SECONDS_OF_SEARCH");
    const double seconds = stated ? std::atof(stated) : 60;
    if (seconds <= 0) return;
    fmt::print("\n{:14} {:11} {:>10} {:>10} {:>6}\n", "wires", "board", "usual mm",
               fmt::format("{:.0f} s mm", seconds), "ratio");
    for (const char* name : examples) {
        const Wiring wiring = example(name);
        for (const BoardKind kind : board_kinds) {
            const double usual = wire_length(*plan_board(wiring, {.kind = kind}));
            const double best = best_of_long_search(wiring, kind, seconds);
            fmt::print("{:14} {:11} {:10.1f} {:10.1f} {:6.2f}\n", name, board_kind_word(kind),
                       usual * 1e3, best * 1e3, usual / best);
            std::fflush(stdout);
        }
    }
}

}  // namespace

int main(int argc, char** argv) {
    for (const char* name : examples) {
        for (const BoardKind kind : board_kinds) {
            benchmark::RegisterBenchmark(
                fmt::format("board/{}/{}", name, board_kind_word(kind)).c_str(),
                [=](benchmark::State& state) { plan(state, name, kind); })
                ->Unit(benchmark::kMillisecond);
        }
    }
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
    compare();
}
