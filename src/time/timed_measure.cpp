#include "time/timed_measure.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstddef>
#include <expected>
#include <limits>
#include <memory>
#include <mutex>
#include <optional>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "time/pulses.hpp"
#include "waveform/lane_waves.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

// Tighter where the usual tolerance does not get through.
constexpr double second_try = 0.1;

// Which way the quantity goes, and whether it ends past the level.
struct Way {
    bool upwards = true;
    bool past = false;
};
Way way_of(const TimedMeasure& measure, const Waveform& wave, std::size_t w) {
    const double first = wave.first[w];
    const double last = wave.last[w];
    const double level = measure.level;
    const bool upwards = first == last ? level >= first : last > first;
    return {upwards, upwards ? last >= level : last <= level};
}

// A level that is not passed in a wave that has not come to rest may still be.
bool is_told(const TimedMeasure& measure, const Waveform& wave, std::size_t w) {
    return measure.reading != TimedMeasure::Reading::reach || wave.rested ||
           way_of(measure, wave, w).past;
}

double reach(const TimedMeasure& measure, const Waveform& wave, std::size_t w) {
    const double last = wave.last[w];
    const double level = measure.level;
    const auto [upwards, past] = way_of(measure, wave, w);
    if (!past) return never + std::abs(level - last);
    double at = 0;
    for (const auto& crossing : wave.crossings) {
        if (crossing.watch == w && crossing.rising == upwards) at = crossing.at;
    }
    const auto& changes = measure.schedule.changes;
    return std::max(0.0, at - (changes.empty() ? 0.0 : changes.back().at));
}

}  // namespace

std::expected<SpecimenWave, WaveFailure> specimen_wave(const Circuit& circuit,
                                                       const Specimen& specimen,
                                                       const Schedule& schedule,
                                                       const std::vector<WaveWatch>& watches,
                                                       const WaveOptions& options) {
    auto rest = solve_link(circuit, specimen.values, specimen.conditions);
    if (!rest) {
        return std::unexpected(
            WaveFailure{.at = 0, .message = "no operating point was found to begin from"});
    }
    const auto run = [&](const WaveOptions& how) {
        return waveform(circuit, specimen.values, specimen.conditions, schedule, *rest, watches,
                        how);
    };
    auto wave = run(options);
    if (!wave && !wave.error().stopped) {
        WaveOptions tighter = options;
        tighter.tolerance *= second_try;
        wave = run(tighter);
    }
    if (!wave) return std::unexpected(wave.error());
    return SpecimenWave{std::move(*rest), std::move(*wave)};
}

WaveWatch watch_of(const TimedMeasure& measure) {
    const auto reading = measure.reading;
    const bool level =
        reading != TimedMeasure::Reading::lowest && reading != TimedMeasure::Reading::highest;
    return {.probe = measure.probe,
            .level = level ? std::optional(measure.level) : std::nullopt,
            .trace = reading == TimedMeasure::Reading::eye};
}

double value_of(const TimedMeasure& measure, const Waveform& wave, std::size_t w) {
    switch (measure.reading) {
        case TimedMeasure::Reading::reach:
            return reach(measure, wave, w);
        case TimedMeasure::Reading::lowest:
            return wave.lowest[w];
        case TimedMeasure::Reading::highest:
            return wave.highest[w];
        case TimedMeasure::Reading::width_error: {
            const Pulse pulse = last_pulse(measure.schedule, wave, w, measure.level);
            return pulse.arrives() ? pulse.width_error() / measure.bit : -1;
        }
        case TimedMeasure::Reading::eye:
            return eye_of(measure.schedule, wave, w, measure.level, measure.bit).opening();
    }
    return 0;
}

std::expected<TimedValues, WaveFailure> timed_values_so_far(
    const Circuit& circuit, const Specimen& specimen, const std::vector<TimedMeasure>& measures,
    const WaveOptions& options) {
    TimedValues result{.values = std::vector<double>(measures.size()),
                       .open = std::vector<bool>(measures.size(), false)};
    std::vector<bool> done(measures.size(), false);
    for (std::size_t first = 0; first < measures.size(); ++first) {
        if (done[first]) continue;
        std::vector<WaveWatch> watches;
        std::vector<std::size_t> whose;
        for (std::size_t m = first; m < measures.size(); ++m) {
            if (done[m] || measures[m].schedule != measures[first].schedule) continue;
            watches.push_back(watch_of(measures[m]));
            whose.push_back(m);
            done[m] = true;
        }
        const auto run =
            specimen_wave(circuit, specimen, measures[first].schedule, watches, options);
        if (!run) return std::unexpected(run.error());
        result.strays = std::max(result.strays, run->wave.strays);
        for (std::size_t w = 0; w < whose.size(); ++w) {
            result.open[whose[w]] = !is_told(measures[whose[w]], run->wave, w);
            result.values[whose[w]] = value_of(measures[whose[w]], run->wave, w);
        }
    }
    return result;
}

std::expected<TimedValues, WaveFailure> timed_values(const Circuit& circuit,
                                                     const Specimen& specimen,
                                                     const std::vector<TimedMeasure>& measures,
                                                     const WaveOptions& options) {
    auto result = timed_values_so_far(circuit, specimen, measures, options);
    if (result && std::ranges::find(result->open, true) != result->open.end()) {
        return std::unexpected(WaveFailure{
            .at = options.longest, .message = "it does not come to rest within eleven days"});
    }
    return result;
}

namespace {

// Measures of one schedule: they share waveforms.
struct Together {
    std::vector<std::size_t> places;  // among all measures
    std::vector<TimedMeasure> measures;
    std::optional<LaneWaves> lanes = {};
};

std::vector<Together> together_by_schedule(const std::vector<TimedMeasure>& measures) {
    std::vector<Together> all;
    for (std::size_t m = 0; m < measures.size(); ++m) {
        auto with = std::ranges::find_if(all, [&](const Together& t) {
            return t.measures.front().schedule == measures[m].schedule;
        });
        if (with == all.end()) with = all.insert(with, Together{});
        with->places.push_back(m);
        with->measures.push_back(measures[m]);
    }
    return all;
}

// Schedules with their plans, made about the first specimen that is asked of.
class PlannedSchedules {
  public:
    PlannedSchedules(const Circuit& circuit, const std::vector<TimedMeasure>& measures,
                     double tolerance)
        : circuit_(circuit), tolerance_(tolerance), all_(together_by_schedule(measures)) {}

    const std::vector<Together>& about(const Specimen& specimen) {
        std::call_once(planned_, [&] {
            const auto rest = solve_link(circuit_, specimen.values, specimen.conditions);
            if (!rest) return;
            for (auto& together : all_) {
                std::vector<WaveWatch> watches;
                for (const auto& m : together.measures) watches.push_back(watch_of(m));
                together.lanes =
                    plan_lane_waves(circuit_, together.measures.front().schedule, watches,
                                    specimen.values, specimen.conditions, *rest, tolerance_);
            }
        });
        return all_;
    }

  private:
    const Circuit& circuit_;
    double tolerance_;
    std::vector<Together> all_;
    std::once_flag planned_;
};

// One run over a source's specimens, in blocks of as many as a kernel has lanes.
struct TimedRun {
    const Circuit& circuit;
    const std::vector<Together>& schedules;
    const WaveOptions& wave_options;
    const SpecimenSource& source;
    const EngineOptions& options;
    Measurements& result;
    std::atomic<std::size_t> solved = 0;
    std::atomic<std::size_t> alone = 0;
    std::atomic<std::size_t> unsettled = 0;
};

Specimen specimen_of(const TimedRun& run, std::size_t k) {
    std::vector<double> row = run.source.base.values;
    row.resize(row.size() + 3);
    SpecimenPlace place(row.data(), 1, run.source.base.values.size());
    place.set(run.source.base.conditions);
    run.source.write(k, place);
    return place.get();
}

// What a waveform says of a specimen's measures.
void take(const TimedRun& run, const Together& together, std::size_t specimen,
          const Waveform& wave) {
    for (std::size_t w = 0; w < together.places.size(); ++w) {
        run.result.values[specimen * run.result.measures + together.places[w]] =
            value_of(together.measures[w], wave, w);
    }
}

// A schedule of the specimens `first` … `first + count − 1`; true by specimen where it was
// followed.
std::vector<bool> follow_in_lanes(const TimedRun& run, const Together& together, std::size_t first,
                                  std::size_t count) {
    LaneGroup group(*together.lanes, run.options.kernel);
    const Specimen& base = run.source.base;
    for (std::size_t lane = 0; lane < count; ++lane) {
        SpecimenPlace place(group.specimens() + lane, group.width(), base.values.size());
        for (std::size_t v = 0; v < base.values.size(); ++v) {
            place.set(static_cast<Slot>(v), base.values[v]);
        }
        place.set(base.conditions);
        run.source.write(first + lane, place);
    }
    const auto waves = group.follow(count, run.options.stop);
    std::vector<bool> followed(count, false);
    for (std::size_t lane = 0; lane < count; ++lane) {
        if (!waves[lane]) continue;
        bool told = true;
        for (std::size_t w = 0; w < together.measures.size(); ++w) {
            told = told && is_told(together.measures[w], *waves[lane], w);
        }
        if (!told) continue;
        followed[lane] = true;
        take(run, together, first + lane, *waves[lane]);
    }
    return followed;
}

// Whether the single integrator follows it. What is stopped is not followed, and no failure.
bool follow_alone(TimedRun& run, const Together& together, std::size_t specimen) {
    WaveOptions how = run.wave_options;
    how.stop = run.options.stop;
    const auto found =
        timed_values(run.circuit, specimen_of(run, specimen), together.measures, how);
    if (!found) {
        if (!found.error().stopped) ++run.unsettled;
        return false;
    }
    for (std::size_t w = 0; w < together.places.size(); ++w) {
        run.result.values[specimen * run.result.measures + together.places[w]] = found->values[w];
    }
    return true;
}

void follow_block(TimedRun& run, std::size_t first, std::size_t count) {
    std::vector<bool> good(count, true);
    std::vector<bool> by_itself(count, false);
    for (const auto& together : run.schedules) {
        std::vector<bool> followed(count, false);
        if (together.lanes) followed = follow_in_lanes(run, together, first, count);
        for (std::size_t k = 0; k < count; ++k) {
            if (followed[k] || !good[k]) continue;
            if (run.options.stop.stop_requested()) return;
            by_itself[k] = true;
            good[k] = follow_alone(run, together, first + k);
        }
    }
    for (std::size_t k = 0; k < count; ++k) {
        if (by_itself[k]) ++run.alone;
        if (!good[k]) {
            for (std::size_t m = 0; m < run.result.measures; ++m) {
                run.result.values[(first + k) * run.result.measures + m] =
                    std::numeric_limits<double>::quiet_NaN();
            }
            continue;
        }
        const std::size_t done = ++run.solved;
        if (run.options.progress) run.options.progress(done);
    }
}

}  // namespace

Measurer timed_measurer(const Circuit& circuit, const std::vector<TimedMeasure>& measures,
                        const WaveOptions& wave_options) {
    const std::size_t count = measures.size();
    const auto planned =
        std::make_shared<PlannedSchedules>(circuit, measures, wave_options.tolerance);
    auto measure_specimens = [&circuit, planned, count, wave_options](
                                 const SpecimenSource& source, const EngineOptions& options) {
        Measurements result{.measures = count, .values = {}, .outcome = {}};
        result.values.assign(source.count * count, std::numeric_limits<double>::quiet_NaN());
        TimedRun run{.circuit = circuit,
                     .schedules = planned->about(source.base),
                     .wave_options = wave_options,
                     .source = source,
                     .options = options,
                     .result = result};
        const std::size_t width = lane_width(options.kernel);
        at_once((source.count + width - 1) / width, options, [&](std::size_t block) {
            if (options.stop.stop_requested()) return;
            const std::size_t first = block * width;
            follow_block(run, first, std::min(width, source.count - first));
        });
        result.outcome.solved = run.solved;
        result.outcome.by_single_points = run.alone;
        result.outcome.unsettled = run.unsettled;
        result.outcome.stopped = options.stop.stop_requested() && run.solved < source.count;
        return result;
    };
    return {count, std::move(measure_specimens)};
}

}  // namespace gapwright
