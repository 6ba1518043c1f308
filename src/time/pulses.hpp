// Trains of pulses: their schedules, and what comes of them at the other side.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "circuit/index.hpp"
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

// Two states that follow each other.
struct Alternation {
    StateIndex rest;    // before the train, and between pulses
    StateIndex active;  // during a pulse
};

// `pulses` pulses of so long, one a period; s.
Schedule pulse_train(const Alternation& states, double period, double width, int pulses);

// Bits in a fixed order that has every run of five at least once, as signalling equipment tests
// itself: a one is `active`. The first bits settle the link and are not looked at.
Schedule bit_pattern(const Alternation& states, double bit);
inline constexpr int settling_bits = 6;
int pattern_bits();

// One pulse of the drive and when the other side followed, of a watch with a level.
struct Pulse {
    double begin = 0;  // s, of the drive
    double end = 0;
    // s after the drive's edge; none where the level was not crossed.
    std::optional<double> begin_delay;
    std::optional<double> end_delay;

    bool arrives() const { return begin_delay && end_delay; }
    // How much longer the pulse is than the drive's, s; minus its length where it does not arrive.
    double width_error() const;
};
// The last pulse of a schedule that ends with one, of a watch with that level.
Pulse last_pulse(const Schedule& schedule, const Waveform& wave, std::size_t watch, double level);

// The eye of a traced watch.
struct Eye {
    double delay = 0;        // s, from a bit's middle to where it is sampled
    double lowest_high = 0;  // in the watch's unit
    double highest_low = 0;
    std::vector<double> starts;  // s, when each bit that was looked at began

    double opening() const { return lowest_high - highest_low; }
};
Eye eye_of(const Schedule& schedule, const Waveform& wave, std::size_t watch, double level,
           double bit);

}  // namespace gapwright
