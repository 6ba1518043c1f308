// Somebody at a simulated bench: a built link with one fault, a meter with its error, and a guided
// session that ends when it does. For tests and benchmarks.
#pragma once

#include <algorithm>
#include <cmath>
#include <random>

#include "bench/meter/meter_error.hpp"
#include "bench/sessions/guided_session.hpp"

namespace gapwright::testing {

// What the meter shows of a value: off by anything within its accuracy, rounded to its last place.
inline double with_meter_error(const Meter& meter, MeasurementKind kind, double value,
                               std::mt19937_64& random) {
    if (!std::isfinite(shown(meter, kind, value))) return std::copysign(INFINITY, value);
    std::uniform_real_distribution<double> error(-1, 1);
    return shown(meter, kind, value + error(random) * error_limit(meter, kind, value));
}

// One built link: the fault it has and what could be read of it.
struct BuiltLink {
    std::size_t suspect = 0;       // of the dictionary
    std::vector<double> readings;  // by measurement, without the meter's error
    std::string fault;
};

// `count` specimens of a link with this fault, of a population that the dictionary does not know.
inline std::vector<BuiltLink> built_links(const Link& prepared, const FaultDictionary& dictionary,
                                          const Fault& fault, std::size_t count,
                                          std::uint64_t seed) {
    Link faulty = prepared;
    if (fault.edit) fault.edit(faulty);
    const BenchSetup setup{dictionary.meter, dictionary.measurements, dictionary.nominals,
                           bench_conditions(faulty, {})};
    auto simulated = simulate_readings(faulty, setup, fault.bridge, seed, count);
    if (simulated) add_what_circuits_leave_out(fault, dictionary, *simulated);
    if (simulated && fault.loose) {  // each reading while it holds, or while it does not
        const auto whole = simulate_readings(prepared, setup, std::nullopt, seed, count);
        std::mt19937_64 toss(seed);
        for (std::size_t k = 0; whole && k < simulated->values.size(); ++k) {
            if (toss() % 2 == 0) simulated->values[k] = whole->values[k];
        }
    }
    std::vector<BuiltLink> built;
    const auto found = std::ranges::find(dictionary.suspects, fault.suspect);
    for (std::size_t k = 0; simulated && k < count; ++k) {
        BuiltLink link{
            static_cast<std::size_t>(found - dictionary.suspects.begin()), {}, fault.suspect};
        for (std::size_t m = 0; m < dictionary.measurements.size(); ++m) {
            link.readings.push_back(simulated->at(k, m));
        }
        const bool whole =
            std::ranges::none_of(link.readings, [](double v) { return std::isnan(v); });
        if (whole) built.push_back(std::move(link));
    }
    return built;
}

struct SessionResult {
    std::vector<TakenReading> readings;
    Conclusion conclusion;
    std::size_t place = 0;        // of the truth among the suspects, from 1; 0: not there
    std::size_t place_alike = 0;  // of the first that cannot be told from it
    bool invisible = false;       // it cannot be told from no fault
};

inline SessionResult run_session(const FaultDictionary& dictionary, const BuiltLink& built,
                                 const SessionOptions& options, std::uint64_t seed,
                                 bool isolation_first = false) {
    std::mt19937_64 random(seed);
    Suspicion suspicion(dictionary, options.no_fault);
    SessionResult result;
    // As the terminal does: whether the sides are apart comes before the power.
    for (std::size_t m = 0; m < dictionary.measurements.size() && result.readings.empty(); ++m) {
        const MeasurementKind kind = dictionary.measurements[m].kind;
        if (kind != MeasurementKind::isolation || !isolation_first) continue;
        result.readings.push_back(
            {m, with_meter_error(dictionary.meter, kind, built.readings[m], random)});
    }
    result.conclusion = conclude(suspicion, result.readings, options);
    while (!result.conclusion.ended()) {
        const std::size_t m = result.conclusion.next->measurement;
        const MeasurementKind kind = dictionary.measurements[m].kind;
        result.readings.push_back(
            {m, with_meter_error(dictionary.meter, kind, built.readings[m], random)});
        result.conclusion = conclude(suspicion, result.readings, options);
    }
    std::vector<std::size_t> left;
    for (std::size_t m = 0; m < dictionary.measurements.size(); ++m) {
        if (std::ranges::none_of(result.readings,
                                 [&](const TakenReading& r) { return r.measurement == m; })) {
            left.push_back(m);
        }
    }
    const auto& suspects = result.conclusion.suspects;
    // Readings that made the truth a hundred times less likely have told it from the first,
    // wrongly.
    const bool ruled_out =
        suspects.empty() || suspicion.of_suspects()[built.suspect] < 0.01 * suspects.front().share;
    const auto is_alike = [&](std::size_t s) {
        if (s == built.suspect) return true;
        return !ruled_out && told_apart(suspicion, s, built.suspect, left) < options.apart_bits;
    };
    for (std::size_t k = 0; k < suspects.size(); ++k) {
        const std::size_t s = suspects[k].suspect;
        if (s == built.suspect && result.place == 0) result.place = k + 1;
        if (result.place_alike == 0 && k < 3 && is_alike(s)) result.place_alike = k + 1;
    }
    if (result.place_alike == 0) result.place_alike = result.place;
    result.invisible = built.suspect != 0 && !suspects.empty() && suspects.front().suspect == 0 &&
                       result.place_alike == 1;
    return result;
}

}  // namespace gapwright::testing
