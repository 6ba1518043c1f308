#include "time/signal_rate.hpp"

#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "link/link.hpp"
#include "population/specimen.hpp"
#include "time/pulses.hpp"
#include "time/timed_measure.hpp"
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

constexpr int train_pulses = 3;
constexpr double widest = 256;      // times the signal's own rate, either way
constexpr double precision = 1.02;  // of the rate

Alternation states_of(const Signal& signal) {
    return {static_cast<StateIndex>(signal.rest), static_cast<StateIndex>(signal.active)};
}

bool holds(const SignalBound& bound, double value) {
    if (bound.at_least && !(value >= *bound.at_least)) return false;
    return !bound.at_most || std::abs(value) <= *bound.at_most;
}

}  // namespace

Schedule signal_train(const Signal& signal, double speed) {
    return pulse_train(states_of(signal), signal.period / speed, signal.width / speed,
                       train_pulses);
}

Schedule signal_pattern(const Signal& signal, double speed) {
    return bit_pattern(states_of(signal), signal.bit / speed);
}

std::expected<HighestRate, WaveFailure> highest_rate(const Circuit& circuit,
                                                     const Specimen& specimen, const Signal& signal,
                                                     const std::vector<SignalBound>& bounds,
                                                     const WaveOptions& options) {
    // The bound that does not hold at a speed, or none.
    std::optional<WaveFailure> failure;
    const auto broken = [&](double speed) -> std::optional<std::size_t> {
        // A train takes a third of the time of a pattern, and ends the search as often.
        for (const bool of_eye : {false, true}) {
            std::vector<TimedMeasure> measures;
            std::vector<std::size_t> whose;
            for (std::size_t b = 0; b < bounds.size(); ++b) {
                if ((bounds[b].measure.reading == TimedMeasure::Reading::eye) != of_eye) continue;
                measures.push_back(bounds[b].measure);
                measures.back().schedule =
                    of_eye ? signal_pattern(signal, speed) : signal_train(signal, speed);
                measures.back().bit = signal.bit / speed;
                whose.push_back(b);
            }
            const auto values = timed_values(circuit, specimen, measures, options);
            if (!values) {
                failure = values.error();
                return std::nullopt;
            }
            for (std::size_t m = 0; m < whose.size(); ++m) {
                if (!holds(bounds[whose[m]], values->values[m])) return whose[m];
            }
        }
        return std::nullopt;
    };
    HighestRate result;
    double good = 0;
    double bad = 0;
    // From the signal's own rate outwards, by factors of four, until one holds and one does not.
    for (double speed = 1; speed >= 1 / widest && speed <= widest;) {
        const auto ends = broken(speed);
        if (failure) return std::unexpected(*failure);
        if (ends) {
            bad = speed;
            result.limiting = *ends;
            if (good > 0) break;
            speed /= 4;
        } else {
            good = speed;
            if (bad > 0) break;
            speed *= 4;
        }
    }
    if (good == 0) return result;
    if (bad == 0) return HighestRate{.speed = good, .limiting = 0, .unlimited = true};
    while (bad / good > precision) {
        const double middle = std::sqrt(good * bad);
        const auto ends = broken(middle);
        if (failure) return std::unexpected(*failure);
        if (ends) {
            bad = middle;
            result.limiting = *ends;
        } else {
            good = middle;
        }
    }
    result.speed = good;
    return result;
}

}  // namespace gapwright
