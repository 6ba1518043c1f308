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

class Run {
  public:
    Run(const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
        const Schedule& schedule, const std::vector<StatePoint>& rest,
        const std::vector<WaveWatch>& watches, const WaveOptions& options, Strays strays)
        : equations_(circuit, values, conditions, schedule, rest, strays),
          watches_(watches),
          options_(options),
          goal_(rest[to_index(schedule.changes.empty() ? schedule.from
                                                       : schedule.changes.back().to)]) {
        y_ = equations_.at_rest(rest[to_index(schedule.from)]);
    }

    std::expected<Waveform, WaveFailure> run() {
        Integrator integrator(equations_, options_.tolerance);
        begin();
        const auto& breaks = equations_.breaks();
        for (std::size_t b = 0; b < breaks.size(); ++b) {
            const double stop =
                b + 1 < breaks.size() ? breaks[b + 1] : std::numeric_limits<double>::infinity();
            if (options_.end && breaks[b] >= *options_.end) break;
            equations_.enter(breaks[b], std::isfinite(stop) ? stop : breaks[b] + 1);
            auto start = waveforms::consistent_start(equations_, breaks[b], y_);
            if (!start) return std::unexpected(failed(breaks[b], start.error()));
            y_ = std::move(start->y);
            look(breaks[b], y_, [&](std::size_t) { return breaks[b]; });
            if (!integrator.begin(breaks[b], y_, start->slope)) {
                return std::unexpected(failed(breaks[b], integrator.worst()));
            }
            if (auto failure = stretch(integrator, stop)) return std::unexpected(*failure);
        }
        result_.last = now_;
        result_.strays = equations_.strays();
        return std::move(result_);
    }

  private:
    WaveFailure failed(double at, waveforms::Index where) const {
        return {.at = at,
                .message = "the circuit's equations could not be followed",
                .node = equations_.node(where)};
    }

    void begin() {
        const StatePoint point = equations_.point(0, y_);
        for (const auto& watch : watches_) now_.push_back(measure(watch.probe, point));
        result_.traces.resize(watches_.size());
        result_.first = result_.lowest = result_.highest = now_;
        record(0, point);
    }

    // From one break to the next, or to the end.
    std::optional<WaveFailure> stretch(Integrator& integrator, double stop) {
        const double end =
            std::min(stop, options_.end.value_or(std::numeric_limits<double>::infinity()));
        const bool last = !std::isfinite(stop);
        const std::size_t begun = integrator.evaluations();
        while (true) {
            if (options_.stop.stop_requested()) {
                return WaveFailure{.at = integrator.time(), .message = "stopped", .stopped = true};
            }
            ++result_.steps;
            result_.evaluations = integrator.evaluations();
            if (result_.evaluations - begun > options_.most_evaluations) {
                return WaveFailure{.at = integrator.time(),
                                   .message = "it swings for too long to be followed",
                                   .node = equations_.node(integrator.worst())};
            }
            const double before = integrator.time();
            const auto outcome = integrator.step(end);
            if (outcome == Integrator::Outcome::failed) {
                return failed(integrator.time(), integrator.worst());
            }
            record_between(integrator, before);
            y_ = integrator.y();
            extremes_between(integrator, before);
            look(integrator.time(), y_, [&](std::size_t w) { return root(integrator, w, before); });
            const bool resting = last && equations_.rests(y_, goal_) && levels_settled();
            result_.end = integrator.time();
            result_.rested = resting;
            if (outcome == Integrator::Outcome::stop) return std::nullopt;
            if (!options_.end && resting) return std::nullopt;
            if (last && integrator.time() > options_.longest) return std::nullopt;
        }
    }

    // Whether every watch is on the side of its level on which it rests; a level that it rests on,
    // as far as can be told, counts for nothing.
    bool levels_settled() const {
        constexpr double told_apart = 1e-6;  // of the level and the value
        for (std::size_t w = 0; w < watches_.size(); ++w) {
            if (!watches_[w].level) continue;
            const double level = *watches_[w].level;
            const double goal = measure(watches_[w].probe, goal_);
            if (std::abs(goal - level) <= told_apart * (std::abs(goal) + std::abs(level))) continue;
            if ((now_[w] >= level) != (goal >= level)) return false;
        }
        return true;
    }

    // Extremes inside a step, of the watches that have no level.
    void extremes_between(const Integrator& integrator, double before) {
        const bool wanted = std::ranges::any_of(
            watches_, [](const WaveWatch& watch) { return !watch.level.has_value(); });
        if (!wanted) return;
        for (int k = 1; k <= between_steps; ++k) {
            const double at =
                std::lerp(before, integrator.time(), static_cast<double>(k) / (between_steps + 1));
            const StatePoint point = equations_.point(at, integrator.within(at));
            for (std::size_t w = 0; w < watches_.size(); ++w) {
                if (watches_[w].level) continue;
                const double value = measure(watches_[w].probe, point);
                result_.lowest[w] = std::min(result_.lowest[w], value);
                result_.highest[w] = std::max(result_.highest[w], value);
            }
        }
    }

    // Where a watch passes its level within the last step.
    double root(const Integrator& integrator, std::size_t w, double before) {
        const WaveWatch& watch = watches_[w];
        const auto above = [&](double time) {
            const StatePoint point = equations_.point(time, integrator.within(time));
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

    // Values of the watches at a point; extremes; crossings, at the time that `when` tells.
    template <class When>
    void look(double time, const VectorXd& y, const When& when) {
        if (watches_.empty() && !options_.record) return;
        const StatePoint point = equations_.point(time, y);
        for (std::size_t w = 0; w < watches_.size(); ++w) {
            const double value = measure(watches_[w].probe, point);
            if (const auto& level = watches_[w].level) {
                const bool rising = value >= *level;
                if (rising != (now_[w] >= *level))
                    result_.crossings.push_back({w, when(w), rising});
            }
            now_[w] = value;
            result_.lowest[w] = std::min(result_.lowest[w], value);
            result_.highest[w] = std::max(result_.highest[w], value);
        }
        record(time, point);
    }

    void record(double time, const StatePoint& point) {
        for (std::size_t w = 0; w < watches_.size(); ++w) {
            if (!watches_[w].trace) continue;
            result_.traces[w].times.push_back(time);
            result_.traces[w].values.push_back(measure(watches_[w].probe, point));
        }
        if (options_.record) result_.points.push_back({time, point});
    }

    void record_between(const Integrator& integrator, double before) {
        const bool traced = std::ranges::any_of(watches_, &WaveWatch::trace);
        if (!options_.record && !traced) return;
        const double length = integrator.time() - before;
        for (int k = 1; k <= between_steps; ++k) {
            const double at = before + length * k / (between_steps + 1);
            record(at, equations_.point(at, integrator.within(at)));
        }
    }

    Equations equations_;
    const std::vector<WaveWatch>& watches_;
    const WaveOptions& options_;
    const StatePoint& goal_;
    std::vector<double> now_;  // by watch
    VectorXd y_;
    Waveform result_;
};

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
    auto wave = Run(circuit, values, conditions, schedule, rest, watches, few, Strays::none).run();
    if (wave || wave.error().stopped) return wave;
    return Run(circuit, values, conditions, schedule, rest, watches, options, Strays::all).run();
}

}  // namespace gapwright
