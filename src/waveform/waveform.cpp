#include "waveform/waveform.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <limits>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "waveform/consistent_start.hpp"
#include "waveform/equations.hpp"
#include "waveform/integrator.hpp"
#include "waveform/schedule.hpp"

namespace gapwright {
namespace {

using waveforms::Equations;
using waveforms::Integrator;
using waveforms::VectorXd;

// Where a circuit needs more than this share of the evaluations allowed, it is followed with strays
// and their losses instead: windings that ring on, charges that chase each other.
constexpr std::size_t without_strays = 5;
constexpr int between_steps = 3;  // points recorded inside a step

WaveFailure failed(const Equations& equations, double at, waveforms::Index where) {
    return {.at = at,
            .message = "the circuit's equations could not be followed",
            .node = equations.node(where)};
}

// The waveform as it comes about.
struct Recording {
    const std::vector<WaveWatch>& watches;
    bool keeps_points;
    std::vector<double> now = {};  // by watch
    Waveform wave = {};
};

void record(double time, const StatePoint& point, Recording& recording) {
    for (std::size_t w = 0; w < recording.watches.size(); ++w) {
        if (!recording.watches[w].trace) continue;
        recording.wave.traces[w].times.push_back(time);
        recording.wave.traces[w].values.push_back(measure(recording.watches[w].probe, point));
    }
    if (recording.keeps_points) recording.wave.points.push_back({time, point});
}

Recording begun(const std::vector<WaveWatch>& watches, const WaveOptions& options,
                const StatePoint& point) {
    Recording recording{.watches = watches, .keeps_points = options.record};
    for (const auto& watch : watches) recording.now.push_back(measure(watch.probe, point));
    Waveform& wave = recording.wave;
    wave.traces.resize(watches.size());
    wave.first = wave.lowest = wave.highest = recording.now;
    record(0, point, recording);
    return recording;
}

// Values of the watches at a point; extremes; crossings, at the time that `when` tells.
template <class When>
void look(Equations& equations, double time, const VectorXd& y, const When& when,
          Recording& recording) {
    const auto& watches = recording.watches;
    if (watches.empty() && !recording.keeps_points) return;
    Waveform& wave = recording.wave;
    const StatePoint point = equations.point(time, y);
    for (std::size_t w = 0; w < watches.size(); ++w) {
        const double value = measure(watches[w].probe, point);
        if (const auto& level = watches[w].level) {
            const bool rising = value >= *level;
            if (rising != (recording.now[w] >= *level)) {
                wave.crossings.push_back({w, when(w), rising});
            }
        }
        recording.now[w] = value;
        wave.lowest[w] = std::min(wave.lowest[w], value);
        wave.highest[w] = std::max(wave.highest[w], value);
    }
    record(time, point, recording);
}

void record_between(Equations& equations, const Integrator& integrator, double before,
                    Recording& recording) {
    const bool traced = std::ranges::any_of(recording.watches, &WaveWatch::trace);
    if (!recording.keeps_points && !traced) return;
    const double length = integrator.time() - before;
    for (int k = 1; k <= between_steps; ++k) {
        const double at = before + length * k / (between_steps + 1);
        record(at, equations.point(at, integrator.within(at)), recording);
    }
}

// Extremes inside a step, of the watches that have no level.
void extremes_between(Equations& equations, const Integrator& integrator, double before,
                      Recording& recording) {
    const auto& watches = recording.watches;
    const bool wanted = std::ranges::any_of(
        watches, [](const WaveWatch& watch) { return !watch.level.has_value(); });
    if (!wanted) return;
    for (int k = 1; k <= between_steps; ++k) {
        const double at =
            std::lerp(before, integrator.time(), static_cast<double>(k) / (between_steps + 1));
        const StatePoint point = equations.point(at, integrator.within(at));
        for (std::size_t w = 0; w < watches.size(); ++w) {
            if (watches[w].level) continue;
            const double value = measure(watches[w].probe, point);
            recording.wave.lowest[w] = std::min(recording.wave.lowest[w], value);
            recording.wave.highest[w] = std::max(recording.wave.highest[w], value);
        }
    }
}

// Where a watch passes its level within the last step.
double root(Equations& equations, const Integrator& integrator, const WaveWatch& watch,
            double before) {
    const auto above = [&](double time) {
        const StatePoint point = equations.point(time, integrator.within(time));
        return measure(watch.probe, point) - *watch.level;
    };
    const double at_start = above(before);
    const double at_end = above(integrator.time());
    if (!(at_start * at_end < 0)) return at_start == 0 ? before : integrator.time();
    std::uintmax_t steps = 60;
    const auto bracket =
        boost::math::tools::toms748_solve(above, before, integrator.time(), at_start, at_end,
                                          boost::math::tools::eps_tolerance<double>(40), steps);
    return 0.5 * (bracket.first + bracket.second);
}

// Whether every watch is on the side of its level on which it rests; a level that it rests on, as
// far as can be told, counts for nothing.
bool levels_settled(const Recording& recording, const StatePoint& goal) {
    constexpr double told_apart = 1e-6;  // of the level and the value
    for (std::size_t w = 0; w < recording.watches.size(); ++w) {
        const WaveWatch& watch = recording.watches[w];
        if (!watch.level) continue;
        const double level = *watch.level;
        const double resting = measure(watch.probe, goal);
        if (std::abs(resting - level) <= told_apart * (std::abs(resting) + std::abs(level))) {
            continue;
        }
        if ((recording.now[w] >= level) != (resting >= level)) return false;
    }
    return true;
}

// From one break to the next, or to the end.
std::optional<WaveFailure> follow_stretch(Equations& equations, Integrator& integrator, double stop,
                                          const StatePoint& goal, const WaveOptions& options,
                                          Recording& recording) {
    const double end =
        std::min(stop, options.end.value_or(std::numeric_limits<double>::infinity()));
    const bool last = !std::isfinite(stop);
    const std::size_t begun_at = integrator.evaluations();
    Waveform& wave = recording.wave;
    while (true) {
        if (options.stop.stop_requested()) {
            return WaveFailure{.at = integrator.time(), .message = "stopped", .stopped = true};
        }
        ++wave.steps;
        wave.evaluations = integrator.evaluations();
        if (wave.evaluations - begun_at > options.most_evaluations) {
            return WaveFailure{.at = integrator.time(),
                               .message = "it swings for too long to be followed",
                               .node = equations.node(integrator.worst())};
        }
        const double before = integrator.time();
        const auto outcome = integrator.step(end);
        if (outcome == Integrator::Outcome::failed) {
            return failed(equations, integrator.time(), integrator.worst());
        }
        record_between(equations, integrator, before, recording);
        extremes_between(equations, integrator, before, recording);
        const auto when = [&](std::size_t w) {
            return root(equations, integrator, recording.watches[w], before);
        };
        look(equations, integrator.time(), integrator.y(), when, recording);
        const bool resting =
            last && equations.rests(integrator.y(), goal) && levels_settled(recording, goal);
        wave.end = integrator.time();
        wave.rested = resting;
        if (outcome == Integrator::Outcome::stop) return std::nullopt;
        if (!options.end && resting) return std::nullopt;
        if (last && integrator.time() > options.longest) return std::nullopt;
    }
}

std::expected<Waveform, WaveFailure> follow(Equations equations, const Schedule& schedule,
                                            const std::vector<StatePoint>& rest,
                                            const std::vector<WaveWatch>& watches,
                                            const WaveOptions& options) {
    const StatePoint& goal =
        rest[to_index(schedule.changes.empty() ? schedule.from : schedule.changes.back().to)];
    Integrator integrator(equations, options.tolerance);
    VectorXd y = equations.at_rest(rest[to_index(schedule.from)]);
    Recording recording = begun(watches, options, equations.point(0, y));
    const auto& breaks = equations.breaks();
    for (std::size_t b = 0; b < breaks.size(); ++b) {
        const double from = breaks[b];
        const double stop =
            b + 1 < breaks.size() ? breaks[b + 1] : std::numeric_limits<double>::infinity();
        if (options.end && from >= *options.end) break;
        equations.enter(from, std::isfinite(stop) ? stop : from + 1);
        const auto start = waveforms::consistent_start(equations, from, y);
        if (!start) return std::unexpected(failed(equations, from, start.error()));
        look(equations, from, start->y, [&](std::size_t) { return from; }, recording);
        if (!integrator.begin(from, start->y, start->slope)) {
            return std::unexpected(failed(equations, from, integrator.worst()));
        }
        if (auto failure = follow_stretch(equations, integrator, stop, goal, options, recording)) {
            return std::unexpected(std::move(*failure));
        }
        y = integrator.y();
    }
    recording.wave.last = recording.now;
    recording.wave.strays = equations.strays();
    return std::move(recording.wave);
}

}  // namespace

double Trace::at(double time) const {
    const auto after = std::ranges::upper_bound(times, time);
    if (after == times.begin()) return values.front();
    if (after == times.end()) return values.back();
    const auto k = static_cast<std::size_t>(after - times.begin());
    const double share = (time - times[k - 1]) / (times[k] - times[k - 1]);
    return std::lerp(values[k - 1], values[k], share);
}

std::expected<Waveform, WaveFailure> waveform(
    const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
    const Schedule& schedule, const std::vector<StatePoint>& rest,
    const std::vector<WaveWatch>& watches, const WaveOptions& options) {
    WaveOptions few = options;
    few.most_evaluations = options.most_evaluations / without_strays;
    auto wave = follow({circuit, values, conditions, schedule, rest, Strays::none}, schedule, rest,
                       watches, few);
    if (wave || wave.error().stopped) return wave;
    return follow({circuit, values, conditions, schedule, rest, Strays::all}, schedule, rest,
                  watches, options);
}

}  // namespace gapwright
