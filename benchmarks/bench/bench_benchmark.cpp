// How well faults are found, for every example: 500 built links with one fault each and good ones,
// with random specimens and the meter's error; and how long the dictionary and a proposal take.
// BUILT_LINKS in the environment: other than 500; ISOLATION_FIRST: the check with which a session
// at the terminal begins is one of the readings.
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <atomic>
#include <chrono>
#include <cstdlib>
#include <map>

#include "bench/faults/link_edits.hpp"
#include "card/key.hpp"
#include "card/receiver.hpp"
#include "population/at_once.hpp"
#include "support/simulated_session.hpp"

namespace {

using namespace gapwright;
using namespace gapwright::testing;

constexpr const char* examples[] = {"bell-hammer",   "chime-bus",     "lamp-watch",
                                    "night-silence", "pendulum-beat", "winder-motor"};

Link example(const std::string& name) {
    return *read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml");
}

double seconds_since(std::chrono::steady_clock::time_point begin) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

// Faults that stand at no place of the dictionary's own: a resistor at three times its value and at
// a third of it, a coupler of 27 % transfer ratio (of a pair: 27 % of its nominal light).
std::vector<Fault> off_the_grid(const Link& link, const Link& prepared) {
    std::vector<Fault> faults;
    for (std::size_t k = 0; k < prepared.parts.size(); ++k) {
        const Part& part = prepared.parts[k];
        const auto add = [&](std::string suspect, FigureId::Of of, Key key, double value) {
            Fault fault;
            fault.suspect = std::move(suspect);
            fault.edit = [=](Link& faulty) {
                edits::set_figure(edits::description(faulty, k, of), key, exactly(value));
            };
            faults.push_back(std::move(fault));
        };
        const Description& d = part.description;
        if (d.kind == Kind::resistor) {
            for (const double factor : {3.0, 1 / 3.0}) {
                add(part.name + " has another value", FigureId::Of::part, Key::value,
                    factor * d.nominal(Key::value));
            }
        } else if (d.kind == Kind::coupler) {
            add(part.name + " is weak", FigureId::Of::part, Key::photocurrent_ratio,
                0.27 / link.parts[k].description.nominal(Key::ctr) *
                    d.nominal(Key::photocurrent_ratio));
        } else if (d.kind == Kind::pair) {
            const Key key = receiver_rule(receiver_of(d)).intensity;
            add(part.name + ".emitter gives little light, or is out of line", FigureId::Of::emitter,
                key, 0.27 * d.emitter->nominal(key));
        }
    }
    return faults;
}

// One fault for each link to be built: all suspects equally often, every eighth off the grid.
std::vector<BuiltLink> build(const Link& link, const Link& prepared,
                             const FaultDictionary& dictionary, std::size_t count) {
    const auto odd = off_the_grid(link, prepared);
    std::mt19937_64 random(20261126);
    std::vector<const Fault*> drawn;
    for (std::size_t k = 0; k < count; ++k) {
        if (k % 8 == 7) {
            drawn.push_back(&odd[random() % odd.size()]);
            continue;
        }
        const std::size_t suspect = 1 + random() % (dictionary.suspects.size() - 1);
        std::vector<const Fault*> cells;
        for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
            if (dictionary.suspect_of[f] == suspect) cells.push_back(&dictionary.faults[f]);
        }
        drawn.push_back(cells[random() % cells.size()]);
    }
    std::map<const Fault*, std::size_t> times;
    for (const Fault* fault : drawn) ++times[fault];
    std::vector<BuiltLink> built;
    std::uint64_t seed = 777;
    for (const auto& [fault, number] : times) {
        for (auto& one : built_links(prepared, dictionary, *fault, number, ++seed)) {
            built.push_back(std::move(one));
        }
    }
    return built;
}

struct Tally {
    std::atomic<std::size_t> first = 0, strictly_first = 0, three = 0, readings = 0, invisible = 0;
};

void report(const std::string& name, std::size_t count) {
    const Link link = example(name);
    auto begin = std::chrono::steady_clock::now();
    const auto dictionary = *fault_dictionary(link, {});
    const double taken = seconds_since(begin);
    std::size_t unsolved = 0;
    for (const auto& r : dictionary.readings) unsolved += r.specimens < 100 ? 1 : 0;
    Suspicion fresh(dictionary, 0.1);
    begin = std::chrono::steady_clock::now();
    conclude(fresh, {}, {});
    const double proposing = seconds_since(begin);
    const Link prepared = prepared_for_faults(link, *build_circuit(link));
    const auto built = build(link, prepared, dictionary, count);
    SessionOptions options;
    options.engine.threads = 1;
    const bool isolation_first = std::getenv("ISOLATION_FIRST") != nullptr;
    Tally tally;
    std::mutex mutex;
    std::map<std::string, int> missed;
    at_once(built.size(), {}, [&](std::size_t k) {
        const auto result = run_session(dictionary, built[k], options, k, isolation_first);
        tally.readings += result.readings.size();
        tally.strictly_first += result.place == 1 ? 1 : 0;
        tally.first += result.place_alike == 1 ? 1 : 0;
        tally.three += result.place_alike >= 1 && result.place_alike <= 3 ? 1 : 0;
        tally.invisible += result.invisible ? 1 : 0;
        if (result.place_alike != 1) {
            const auto& s = result.conclusion.suspects;
            const std::lock_guard lock(mutex);
            ++missed[built[k].fault + " -> " +
                     (s.empty() ? "?" : dictionary.suspects[s.front().suspect])];
        }
    });
    const Fault none{};
    const auto good = built_links(prepared, dictionary, none, count, 4711);
    std::atomic<std::size_t> cleared = 0;
    std::atomic<std::size_t> good_readings = 0;
    at_once(good.size(), {}, [&](std::size_t k) {
        const auto result = run_session(dictionary, good[k], options, k, isolation_first);
        cleared += result.place == 1 ? 1 : 0;
        if (result.place != 1) {
            const auto& s = result.conclusion.suspects;
            const std::lock_guard lock(mutex);
            std::string what = "good -> ";
            for (std::size_t i = 0; i < s.size() && i < 3; ++i) {
                what += fmt::format("{} {:.3f}; ", dictionary.suspects[s[i].suspect], s[i].share);
            }
            what += fmt::format("unexplained {:.4f}, readings", result.conclusion.unexplained);
            for (const auto& r : result.readings) {
                const auto& m = dictionary.measurements[r.measurement];
                what += fmt::format(" [{} {} {:.4g} ({:.4g})]", m.measure, m.state, r.value,
                                    dictionary.nominals[r.measurement]);
            }
            ++missed[what];
        }
        good_readings += result.readings.size();
    });
    const auto n = static_cast<double>(built.size());
    const auto share = [&](const auto& x) { return 100 * static_cast<double>(x) / n; };
    fmt::print(
        "| {} | {} ({}) | {} | {:.2f} | {:.0f} | {} | {:.1f} | {:.1f} | {:.1f} | {:.1f} | {:.2f} | "
        "{:.1f} | {:.1f} |\n",
        name, dictionary.faults.size(), unsolved, dictionary.measurements.size(), taken,
        1e3 * proposing, built.size(), share(tally.strictly_first.load()),
        share(tally.first.load()), share(tally.invisible.load()), share(tally.three.load()),
        static_cast<double>(tally.readings) / n,
        100 * static_cast<double>(cleared) / static_cast<double>(good.size()),
        static_cast<double>(good_readings) / static_cast<double>(good.size()));
    if (std::getenv("SHOW_MISSED")) {
        for (const auto& [what, times] : missed) fmt::print("    {} × {}\n", times, what);
    }
}

}  // namespace

int main() {
    const char* stated = std::getenv("BUILT_LINKS");
    const auto count = static_cast<std::size_t>(stated ? std::atoi(stated) : 500);
    fmt::print(
        "| link | faults (unsolved) | measurements | dictionary, s | proposal, ms | built | first, "
        "% | or not to be told from it, % | of which invisible, % | first three, % | readings | "
        "good cleared, % | readings |\n|---|---|---|---|---|---|---|---|---|---|---|---|---|\n");
    for (const char* name : examples) report(name, count);
}
