// One specimen of a link in time, as people look at it: curves, how long each quantity takes, when
// relays and logic inputs follow, what comes of a signal.
#pragma once

#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "population/engine.hpp"
#include "proof/prove.hpp"
#include "proof/timed/drift.hpp"
#include "time/pulses.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

// What is to happen.
struct WaveRequest {
    enum class Kind : unsigned char { change, signal, disturbance };
    Kind kind = Kind::change;
    std::size_t before = 0;                  // states; of a disturbance only this one
    std::size_t after = 1;                   // of a change
    std::optional<double> end = {};          // s; absent: until the link rests
    std::optional<double> temperature = {};  // K, in place of the middle of the link's range
    EngineOptions engine = {};
};

struct WaveCurve {
    std::string name;  // "output.data", "U1.receiver", "U1" of a gap's light
    Side side = Side::input;
    Dimension dimension = Dimension::voltage;
    std::vector<double> values;  // beside WaveAnswer::times
};

// A quantity that moves by more than a hundredth of the largest of its kind on its side.
struct Transition {
    std::string name;
    Dimension dimension = Dimension::voltage;
    double before = 0;  // at rest
    double after = 0;
    double lowest = 0;  // on the way
    double highest = 0;
    std::optional<double> halfway;    // s, until it is past the middle of its way for good
    std::optional<double> edge_time;  // s, from 10 to 90 % of its way
    bool open = false;                // it was not followed long enough to tell these
};

// A logic input or relay that follows.
struct LevelInstant {
    std::string part;
    std::string what;          // "reads high", "drops out" …
    double level = 0;          // V
    std::optional<double> at;  // s; none: it does not get there
    double comes_to = 0;       // V, at rest
    bool open = false;         // or it was not followed long enough to tell
};

// The last pulse of a signal at one level, and the opening of the eye there.
struct SignalAnswer {
    std::string quantity;
    double level = 0;
    Pulse pulse;
    double bit = 0;  // s
    Eye eye;
    Trace pattern;  // the course from which the eye is taken
};

// A delay of the answer by name, as a measure of any specimen: "output.data half-way", "K1 drops
// out".
struct NamedDelay {
    std::string name;
    std::optional<double> nominal;  // s; `never` or more where the level is not reached; none: it
                                    // was not followed long enough to tell
    TimedMeasure measure;
};

struct WaveAnswer {
    std::string title;  // "off > on"
    WaveRequest::Kind kind = WaveRequest::Kind::change;
    std::vector<double> times;  // s; two of one time at a jump
    std::vector<WaveCurve> curves;
    std::vector<WaveCurve> lights;  // by gap: photocurrent in A, or illuminance in lx
    std::vector<Transition> transitions;
    std::vector<LevelInstant> instants;
    std::vector<NamedDelay> delays;  // of a change
    std::vector<SignalAnswer> signal;
    Drift drift;                // after a change, as emitters warm up
    std::vector<double> edges;  // s, of the drive
    double end = 0;
    bool rested = false;
    bool stores = true;  // something in the link stores charge, flux or light
    std::size_t steps = 0;
};

std::expected<WaveAnswer, ProofFailure> wave_answer(const Link& link, const LinkCircuit& circuit,
                                                    const WaveRequest& request);

}  // namespace gapwright
