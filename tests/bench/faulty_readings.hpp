// What links with one of their faults read.
#pragma once

#include <cmath>

#include "bench/bench_links.hpp"

namespace gapwright::testing_support {

// The nominal readings of a link with one fault, in the dictionary's order.
inline std::vector<double> readings_with(const LinkAtBench& at, const Fault& fault) {
    Link faulty = at.prepared;
    if (fault.edit) fault.edit(faulty);
    const FaultDictionary& d = at.dictionary;
    const BenchSetup setup{d.meter, d.measurements, d.nominals, bench_conditions(faulty, {})};
    if (fault.bridge) {
        const auto one = simulate_readings(faulty, setup, fault.bridge, 1, 1);
        return one ? one->values : std::vector<double>(d.measurements.size(), NAN);
    }
    const auto readings = nominal_readings(faulty, setup);
    if (!readings) {
        ADD_FAILURE() << fault.suspect << ": " << readings.error().front().message;
        return std::vector<double>(d.measurements.size(), NAN);
    }
    return *readings;
}

inline std::vector<double> readings_with(const LinkAtBench& at, const std::string& suspect) {
    const auto& faults = at.dictionary.faults;
    const auto found = std::ranges::find(faults, suspect, &Fault::suspect);
    if (found == faults.end()) {
        ADD_FAILURE() << "no fault \"" << suspect << '"';
        return std::vector<double>(at.dictionary.measurements.size(), NAN);
    }
    return readings_with(at, *found);
}

inline double read_with(const LinkAtBench& at, const std::string& suspect, std::string_view measure,
                        std::string_view state) {
    return readings_with(at, suspect)[at.measurement(measure, state)];
}

}  // namespace gapwright::testing_support
