#include "time/timed_measure.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstddef>
#include <expected>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "time/pulses.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

// Tighter where the usual tolerance does not get through.
constexpr double second_try = 0.1;

double reach(const TimedMeasure& measure, const Waveform& wave, std::size_t w) {
    const double first = wave.first[w];
    const double last = wave.last[w];
    const double level = measure.level;
    const bool upwards = first == last ? level >= first : last > first;
    const auto past = [&](double value) { return upwards ? value >= level : value <= level; };
    if (!past(last)) return never + std::abs(level - last);
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

std::expected<TimedValues, WaveFailure> timed_values(const Circuit& circuit,
                                                     const Specimen& specimen,
                                                     const std::vector<TimedMeasure>& measures,
                                                     const WaveOptions& options) {
    TimedValues result{.values = std::vector<double>(measures.size())};
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
            result.values[whose[w]] = value_of(measures[whose[w]], run->wave, w);
        }
    }
    return result;
}

Measurer timed_measurer(const Circuit& circuit, std::vector<TimedMeasure> measures,
                        const WaveOptions& wave_options) {
    const std::size_t count = measures.size();
    auto run = [&circuit, measures = std::move(measures), wave_options](
                   const SpecimenSource& source, const EngineOptions& options) {
        Measurements result{.measures = measures.size(), .values = {}, .outcome = {}};
        result.values.assign(source.count * measures.size(),
                             std::numeric_limits<double>::quiet_NaN());
        std::atomic<std::size_t> solved = 0;
        std::atomic<std::size_t> unsettled = 0;
        at_once(source.count, options, [&](std::size_t k) {
            if (options.stop.stop_requested()) return;
            std::vector<double> row = source.base.values;
            row.resize(row.size() + 3);
            SpecimenPlace place(row.data(), 1, source.base.values.size());
            place.set(source.base.conditions);
            source.write(k, place);
            WaveOptions how = wave_options;
            how.stop = options.stop;
            const auto values = timed_values(circuit, place.get(), measures, how);
            if (!values) {
                if (!values.error().stopped) ++unsettled;
                return;
            }
            std::ranges::copy(values->values, result.values.begin() +
                                                  static_cast<std::ptrdiff_t>(k * measures.size()));
            const std::size_t done = ++solved;
            if (options.progress) options.progress(done);
        });
        result.outcome.solved = solved;
        result.outcome.unsettled = unsettled;
        result.outcome.stopped = options.stop.stop_requested() && solved < source.count;
        return result;
    };
    return {count, std::move(run)};
}

}  // namespace gapwright
