// One number of a link in time: a delay, an extreme on the way, an error of pulse width, the
// opening of an eye. And many of them of many specimens.
#pragma once

#include <cstddef>
#include <expected>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

// From a delay of so much on a quantity is not there even when the link rests; how far it stays
// away is added, so that a search can tell better from worse.
inline constexpr double never = 1e9;  // s

struct TimedMeasure {
    enum class Reading : unsigned char {
        // s, from the schedule's last change until the quantity is past `level` and stays so; from
        // `never` on where it is not. The way is from its value before to that at rest after; a
        // level that it has at once and keeps is reached at 0.
        reach,
        lowest,  // the quantity's extremes from the first change or surge on
        highest,
        // Of the last whole pulse, crossings of `level`: how much longer it is than the drive's
        // pulse, as a share of `bit`; negative for shorter, −1 for a pulse that does not arrive.
        width_error,
        // Of all bits but the first few, sampled in the middle of each, later by the mean delay of
        // the last pulse: the lowest high less the highest low. A closed eye is negative.
        eye,
    };

    Reading reading = Reading::reach;
    Schedule schedule;
    Probe probe;
    double level = 0;  // in the probe's unit
    double bit = 0;    // s

    bool operator==(const TimedMeasure&) const = default;
};

// A quantity in time as people look at it: `wave` has the probes' traces where they were asked for.
struct SpecimenWave {
    std::vector<StatePoint> rest;  // by state
    Waveform wave;
};
std::expected<SpecimenWave, WaveFailure> specimen_wave(const Circuit& circuit,
                                                       const Specimen& specimen,
                                                       const Schedule& schedule,
                                                       const std::vector<WaveWatch>& watches,
                                                       const WaveOptions& options = {});

// What to watch for a measure, and its number from the waveform, where it is watch `w`.
WaveWatch watch_of(const TimedMeasure& measure);
double value_of(const TimedMeasure& measure, const Waveform& wave, std::size_t w);

struct TimedValues {
    std::vector<double> values;  // by measure
    // By measure: the waveform ended before the level was passed and before it came to rest; the
    // value is then `never` or more.
    std::vector<bool> open;
    Strays strays = Strays::none;  // the most that any of the waveforms assumed
};

// The measures of one specimen, as far as `options` say it is to be followed; those of one schedule
// share a waveform.
std::expected<TimedValues, WaveFailure> timed_values_so_far(
    const Circuit& circuit, const Specimen& specimen, const std::vector<TimedMeasure>& measures,
    const WaveOptions& options);

// Followed until the specimen rests; what stays open even so is an error.
std::expected<TimedValues, WaveFailure> timed_values(const Circuit& circuit,
                                                     const Specimen& specimen,
                                                     const std::vector<TimedMeasure>& measures,
                                                     const WaveOptions& options = {});

// The same for many specimens, from several threads, as whatever measures links at rest is asked.
// Refers to the circuit.
Measurer timed_measurer(const Circuit& circuit, const std::vector<TimedMeasure>& measures,
                        const WaveOptions& options);

}  // namespace gapwright
