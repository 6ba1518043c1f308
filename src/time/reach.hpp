// When a quantity reaches a level after a change of state, and for good.
#pragma once

#include <expected>
#include <limits>
#include <vector>

#include "population/specimen.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

// A quantity on its way after a change of state.
struct ChangeMeasure {
    StateIndex before;
    StateIndex after;
    Probe probe;
    double level = 0;  // in the probe's unit

    bool operator==(const ChangeMeasure&) const = default;
};

// `at`: from the change until the quantity is past the level and stays so; infinite when it is not
// there even at the end. The way is from its value at rest before to that at rest after; a level
// that it has at once and keeps is reached at 0.
struct Reach {
    double at = std::numeric_limits<double>::infinity();  // s
    double closest = 0;  // the value that came nearest to the level, where it was not reached
};

// A specimen in time: its states at rest, and a waveform from one of them.
struct SpecimenWave {
    std::vector<StatePoint> rest;
    Waveform wave;
};
std::expected<SpecimenWave, WaveFailure> specimen_wave(const Circuit& circuit,
                                                       const Specimen& specimen,
                                                       const Schedule& schedule,
                                                       const std::vector<WaveWatch>& watches,
                                                       const WaveOptions& options = {});

// The way of a watch of a waveform that ends at rest. Requires a level.
Reach reach_of(const Waveform& wave, std::size_t watch, double level);

// The delays of one specimen, s, one a measure; measures of the same change share a waveform.
std::expected<std::vector<Reach>, WaveFailure> reaches(const Circuit& circuit,
                                                       const Specimen& specimen,
                                                       const std::vector<ChangeMeasure>& measures,
                                                       const WaveOptions& options = {});

}  // namespace gapwright
