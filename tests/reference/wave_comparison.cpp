#include "reference/wave_comparison.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

namespace gapwright::reference {
namespace {

constexpr double voltage_bar = 1e-4;
constexpr double time_bar = 1e-3;
constexpr double tight = 1e-7;  // the program's tolerance where voltages are compared
// What jumps does so within a time that nobody can see, not in no time.
constexpr double jump_time = 1e-11;       // s
constexpr double moves = 0.2;             // of the supply: a node whose crossing is compared
constexpr std::size_t most_points = 100;  // of a waveform that are compared

void find_crossing(Watched& w, SecondWaveform& second) {
    if (!w.crosses) return;
    const double from = second.x_before()[w.unknown] - w.level;
    const double to = second.x()[w.unknown] - w.level;
    if ((from >= 0) == (to >= 0)) return;
    std::uintmax_t rounds = 40;
    const auto off = [&](double time) {
        const auto x = second.within(time);
        return x.empty() ? to : x[w.unknown] - w.level;
    };
    const auto found =
        boost::math::tools::toms748_solve(off, second.step_began(), second.time(), from, to,
                                          boost::math::tools::eps_tolerance<double>(20), rounds);
    w.crossings.push_back({0, 0.5 * (found.first + found.second), to >= 0});
}

}  // namespace

void WaveComparison::run() {
    for (std::size_t from = 0; from < link_.states.size(); ++from) {
        for (std::size_t to = 0; to < link_.states.size(); ++to) {
            if (from != to) run(from, to);
        }
    }
}

void WaveComparison::run(std::size_t from, std::size_t to) {
    ++counts_.waveforms;
    const WaveformSystem before(made_, made_.states.at(link_.states[from].name), light_);
    const WaveformSystem after(made_, made_.states.at(link_.states[to].name), light_);
    const auto rest = before.rest();
    const auto goal = after.rest();
    where_ = link_.states[from].name + " to " + link_.states[to].name;
    watch(before, rest, goal);
    const auto plain = program(from, to, {});
    const auto wave = program(from, to, {.tolerance = tight, .record = true});
    if (!wave || !plain) {
        ++counts_.not_by_program;
        const WaveFailure& error = plain ? wave.error() : plain.error();
        ADD_FAILURE() << where_ << ": " << error.message << " at " << error.at << " s";
        return;
    }
    if (wave->strays != Strays::none || plain->strays != Strays::none) {
        ++counts_.with_strays;
        return;
    }
    if (rest.empty() || goal.empty()) {
        ++counts_.not_by_second;
        return;
    }
    if (!wave->rested) ++counts_.not_rested;
    if (!follow(SecondWaveform(after, rest), *wave)) {
        ++counts_.not_by_second;
        return;
    }
    for (auto& node : watched_) compare_crossings(node, *plain);
    ++counts_.compared;
}

void WaveComparison::watch(const WaveformSystem& system, const std::vector<double>& rest,
                           const std::vector<double>& goal) {
    watched_.clear();
    for (const Side which : {Side::input, Side::output}) {
        const bool input = which == Side::input;
        const double supply = input ? made_.input.supply : made_.output.supply;
        for (const auto& [name, node] : system.side(input).nodes()) {
            const auto known = link_.side(which).find_node(name);
            if (node == 0 || !known) continue;
            Watched w{.name = std::string(side_name(which)) + "." + name,
                      .unknown = system.first(input) + node - 1,
                      .supply = supply};
            w.probe = {.kind = Probe::Kind::voltage,
                       .side = which,
                       .ports = {{*known, Node::side_return, {}}}};
            if (!rest.empty() && !goal.empty()) {
                w.level = (rest[w.unknown] + goal[w.unknown]) / 2;
                w.crosses = std::abs(rest[w.unknown] - goal[w.unknown]) > moves * supply;
            }
            watched_.push_back(w);
        }
    }
}

std::expected<Waveform, WaveFailure> WaveComparison::program(std::size_t from, std::size_t to,
                                                             const WaveOptions& options) const {
    std::vector<WaveWatch> watches;
    for (const auto& w : watched_) {
        watches.push_back({w.probe, w.crosses ? std::optional(w.level) : std::nullopt});
    }
    const Schedule schedule{.from = static_cast<StateIndex>(from),
                            .changes = {{0, static_cast<StateIndex>(to)}}};
    auto wave = specimen_wave(circuit_.circuit, specimen_, schedule, watches, options);
    if (!wave) return std::unexpected(wave.error());
    return std::move(wave->wave);
}

bool WaveComparison::follow(SecondWaveform second, const Waveform& wave) {
    std::vector<const WavePoint*> points;
    for (const auto& p : wave.points) {
        if (p.time > jump_time + counts_.edge) points.push_back(&p);
    }
    const std::size_t stride = points.size() / most_points + 1;
    std::size_t next = 0;
    while (second.time() < wave.end) {
        if (!second.step(wave.end)) return false;
        for (; next < points.size() && points[next]->time <= second.time(); next += stride) {
            const auto x = second.within(points[next]->time);
            if (x.empty()) {
                ++counts_.unresolved;
                continue;
            }
            for (const auto& w : watched_) compare_voltage(w, points, next, x[w.unknown]);
        }
        for (auto& w : watched_) find_crossing(w, second);
    }
    counts_.steps += second.steps();
    return true;
}

void WaveComparison::compare_voltage(const Watched& w, std::span<const WavePoint* const> points,
                                     std::size_t at, double second) {
    const double time = points[at]->time;
    const auto voltage = [&](std::size_t k) { return measure(w.probe, points[k]->point); };
    double low = voltage(at);
    double high = low;
    for (const int way : {-1, 1}) {
        double before = time;
        double value = voltage(at);
        const double end = time + way * (counts_.edge_share * time + counts_.edge);
        for (std::size_t k = at; before != end && k + 1 < points.size() && k > 0;) {
            k = way > 0 ? k + 1 : k - 1;
            const double next = points[k]->time;
            const double share =
                next == before ? 1 : std::min(1.0, (end - before) / (next - before));
            value += share * (voltage(k) - value);
            before = share < 1 ? end : next;
            low = std::min(low, value);
            high = std::max(high, value);
        }
    }
    const double off = std::max({low - second, second - high, 0.0});
    const double apart = off / std::max({w.supply, std::abs(second), 1e-300});
    ++counts_.voltages;
    if (!(apart <= counts_.voltage)) {
        counts_.voltage = std::isfinite(second) ? apart : 1e300;
        counts_.where_voltage = name_of(w) + " at " + std::to_string(time * 1e6) + " µs";
    }
    if (apart <= voltage_bar && std::isfinite(second)) return;
    if (counts_.beyond++ < 20) {
        ADD_FAILURE() << name_of(w) << " at " << time << " s: " << voltage(at) << " V against "
                      << second << " V";
    }
}

void WaveComparison::compare_crossings(const Watched& w, const Waveform& wave) {
    std::vector<double> project;
    for (const auto& crossing : wave.crossings) {
        if (watched_[crossing.watch].name == w.name) project.push_back(crossing.at);
    }
    std::string both = name_of(w) + " crosses " + std::to_string(w.level) + " V at";
    for (const double t : project) both += " " + std::to_string(t * 1e6);
    both += " µs; second solution:";
    for (const auto& c : w.crossings) both += " " + std::to_string(c.at * 1e6);
    EXPECT_EQ(project.size(), w.crossings.size()) << both;
    for (std::size_t k = 0; k < std::min(project.size(), w.crossings.size()); ++k) {
        const double second = w.crossings[k].at;
        const double apart =
            std::max(0.0, std::abs(project[k] - second) - jump_time) / (second + jump_time);
        ++counts_.crossings;
        EXPECT_LE(apart, time_bar) << both;
        if (apart > counts_.time) {
            counts_.time = apart;
            counts_.where_time = both;
        }
    }
}

std::string WaveComparison::name_of(const Watched& w) const {
    return link_.title + ", " + where_ + ", " + w.name;
}

}  // namespace gapwright::reference
