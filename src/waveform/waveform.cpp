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
#include "waveform/equations.hpp"
#include "waveform/integrator.hpp"
#include "waveform/schedule.hpp"

namespace gapwright {
namespace {

using waveforms::Equations;
using waveforms::Integrator;
using waveforms::MatrixXd;
using waveforms::VectorXd;

// What jumps does so within this time, s: charges and fluxes then change by what flows in it, which
// nobody can see, and a charge that must jump (a capacitor on a source without resistance) can.
constexpr double jump_time = 1e-13;
constexpr int newton_limit = 200;
constexpr double newton_tolerance = 1e-10;  // of an unknown's size or of its value
constexpr int between_steps = 3;            // points recorded inside a step

class Run {
  public:
    Run(const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
        const Schedule& schedule, const std::vector<StatePoint>& rest,
        const std::vector<WaveWatch>& watches, const WaveOptions& options)
        : equations_(circuit, values, conditions, schedule, rest),
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
            if (!jump(breaks[b])) return failed(breaks[b]);
            look(breaks[b], y_, [&](std::size_t) { return breaks[b]; });
            if (!integrator.begin(breaks[b], y_, slope_)) return failed(breaks[b]);
            if (auto failure = stretch(integrator, stop)) return std::unexpected(*failure);
        }
        result_.last = now_;
        return std::move(result_);
    }

  private:
    std::unexpected<WaveFailure> failed(double at) const {
        return std::unexpected(
            WaveFailure{.at = at, .message = "the circuit's equations could not be followed"});
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
        while (true) {
            if (options_.stop.stop_requested()) {
                return WaveFailure{integrator.time(), "stopped", true};
            }
            if (++result_.steps > options_.most_steps) {
                return WaveFailure{integrator.time(), "more steps than allowed"};
            }
            const double before = integrator.time();
            const auto outcome = integrator.step(end);
            if (outcome == Integrator::Outcome::failed) {
                return WaveFailure{integrator.time(),
                                   "the circuit's equations could not be followed"};
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

    // The unknowns right after something jumped: one step backwards of Euler's method, so short
    // that what is stored stays. Newton's method with limited junctions, as at rest.
    bool jump(double time) {
        const VectorXd before = y_;
        const double cj = 1 / jump_time;
        VectorXd residual;
        MatrixXd jacobian;
        auto control = equations_.controls(y_);
        slope_ = VectorXd::Zero(y_.size());
        for (int k = 0; k < newton_limit; ++k) {
            equations_.evaluate(time, y_, slope_, cj, residual, &jacobian, &control);
            for (waveforms::Index r = 0; r < jacobian.rows(); ++r) {
                const double largest = jacobian.row(r).cwiseAbs().maxCoeff();
                if (!(largest > 0)) {
                    jacobian(r, r) = 1;
                    continue;
                }
                jacobian.row(r) /= largest;
                residual[r] /= largest;
            }
            const VectorXd step = jacobian.partialPivLu().solve(-residual);
            if (!step.allFinite()) return false;
            y_ += step;
            slope_ = (y_ - before) * cj;
            const bool limited = equations_.limit(y_, control);
            const double moved =
                (step.array().abs() / (y_.array().abs() + equations_.sizes().array())).maxCoeff();
            if (!limited && moved <= newton_tolerance) {
                for (waveforms::Index u = 0; u < equations_.resting(); ++u) slope_[u] = 0;
                return true;
            }
        }
        return false;
    }

    Equations equations_;
    const std::vector<WaveWatch>& watches_;
    const WaveOptions& options_;
    const StatePoint& goal_;
    std::vector<double> now_;  // by watch
    VectorXd y_;
    VectorXd slope_;
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
    return Run(circuit, values, conditions, schedule, rest, watches, options).run();
}

}  // namespace gapwright
