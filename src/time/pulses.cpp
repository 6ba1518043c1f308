#include "time/pulses.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <string_view>
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

// A cycle of 32 bits with every group of five once (de Bruijn's sequence of order 5), after its own
// last bits: so every bit but the settling ones comes after one of all groups of four.
constexpr std::string_view settling = "011111";
constexpr std::string_view cycle = "00000100011001010011101011011111";

bool one(int bit) {
    return bit < settling_bits ? settling[static_cast<std::size_t>(bit)] == '1'
                               : cycle[static_cast<std::size_t>(bit - settling_bits)] == '1';
}

// The first crossing of the watch from `from` on, in a direction.
std::optional<double> crossing_after(const Waveform& wave, std::size_t watch, double from,
                                     bool rising) {
    for (const auto& c : wave.crossings) {
        if (c.watch == watch && c.rising == rising && c.at >= from) return c.at;
    }
    return std::nullopt;
}

}  // namespace

Schedule pulse_train(const Alternation& states, double period, double width, int pulses) {
    Schedule schedule{.from = states.rest};
    for (int k = 0; k < pulses; ++k) {
        schedule.changes.push_back({k * period, states.active});
        schedule.changes.push_back({k * period + width, states.rest});
    }
    return schedule;
}

int pattern_bits() {
    return settling_bits + static_cast<int>(cycle.size());
}

Schedule bit_pattern(const Alternation& states, double bit) {
    Schedule schedule{.from = states.rest};
    bool last = false;
    for (int k = 0; k < pattern_bits(); ++k) {
        if (one(k) != last) {
            schedule.changes.push_back({k * bit, one(k) ? states.active : states.rest});
        }
        last = one(k);
    }
    if (last) schedule.changes.push_back({pattern_bits() * bit, states.rest});
    return schedule;
}

double Pulse::width_error() const {
    if (!arrives()) return begin - end;
    return *end_delay - *begin_delay;
}

Pulse last_pulse(const Schedule& schedule, const Waveform& wave, std::size_t watch, double level) {
    const auto& changes = schedule.changes;
    Pulse pulse{.begin = changes[changes.size() - 2].at,
                .end = changes.back().at,
                .begin_delay = {},
                .end_delay = {}};
    const bool rising = wave.first[watch] < level;  // when the pulse begins
    const auto begin = crossing_after(wave, watch, pulse.begin, rising);
    if (!begin) return pulse;
    const auto end = crossing_after(wave, watch, std::max(pulse.end, *begin), !rising);
    if (!end) return pulse;
    pulse.begin_delay = *begin - pulse.begin;
    pulse.end_delay = *end - pulse.end;
    return pulse;
}

Eye eye_of(const Schedule& schedule, const Waveform& wave, std::size_t watch, double level,
           double bit) {
    Eye eye;
    const Pulse pulse = last_pulse(schedule, wave, watch, level);
    if (pulse.arrives()) {
        eye.delay = 0.5 * (*pulse.begin_delay + *pulse.end_delay);
    }
    const Trace& trace = wave.traces[watch];
    double ones_least = std::numeric_limits<double>::infinity();
    double ones_most = -ones_least;
    double noughts_least = ones_least;
    double noughts_most = -ones_least;
    for (int k = settling_bits; k < pattern_bits(); ++k) {
        eye.starts.push_back(k * bit);
        const double value = trace.at((k + 0.5) * bit + eye.delay);
        double& least = one(k) ? ones_least : noughts_least;
        double& most = one(k) ? ones_most : noughts_most;
        least = std::min(least, value);
        most = std::max(most, value);
    }
    const bool upright = ones_least + ones_most > noughts_least + noughts_most;
    eye.lowest_high = upright ? ones_least : noughts_least;
    eye.highest_low = upright ? noughts_most : ones_most;
    return eye;
}

}  // namespace gapwright
