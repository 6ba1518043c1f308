// What each fault would make the meter show, simulated for many specimens.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>
#include "bench/faults/fault.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/simulated_readings.hpp"
#include "link/link.hpp"
#include "link/meter.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// One fault's readings, on the scale of bench/meter/reading_scale.hpp.
struct FaultReadings {
    std::size_t specimens = 0;        // of which readings are known
    std::vector<double> scaled = {};  // a row a measurement, without the meter's error
    std::vector<double> others = {};  // likewise, by the other sort of meter; may be empty
    // By measurement: whether too few specimens could be solved there for it to be known. Such a
    // row holds nothing. May be empty.
    std::vector<bool> unknown = {};
    // By measurement, on the scale: how far readings hang on the sort of meter. May be empty.
    std::vector<double> doubt = {};
    std::vector<double> figure = {};  // by specimen: the value of the fault's figure; may be empty

    double at(std::size_t measurement, std::size_t specimen) const {
        return scaled[measurement * specimens + specimen];
    }
    std::span<const double> of(std::size_t measurement) const {
        return {scaled.data() + measurement * specimens, specimens};
    }
    bool knows(std::size_t measurement) const { return unknown.empty() || !unknown[measurement]; }
    std::span<const double> by_other(std::size_t measurement) const {
        if (others.empty()) return of(measurement);
        return {others.data() + measurement * specimens, specimens};
    }
};

struct DictionaryOptions {
    std::uint64_t seed = 1;
    std::size_t specimens = 160;             // of each fault
    std::size_t good_specimens = 2000;       // of the link without a fault
    std::optional<Spread> temperature = {};  // K, at the bench; none: bench_temperature
    double age = 0;                          // s in service, whichever states it was spent in
    EngineOptions engine = {};               // its progress counts faults
};

struct FaultDictionary {
    DictionaryOptions options;  // that it was made with
    Meter meter;
    std::vector<Measurement> measurements;
    std::vector<double> nominals;         // of a good link, by measurement: V, A, Ω
    SimulatedReadings good;               // of many good links, without the meter's error
    std::vector<Fault> faults;            // the first is none
    std::vector<FaultReadings> readings;  // by fault; empty where none could be solved
    std::vector<std::size_t> suspect_of;  // by fault: index in `suspects`
    std::vector<std::string> suspects;    // the first is "": no fault
    std::vector<bool> unseen = {};        // by fault: no reading shows it (unseen_faults)
};

// Where somebody measures, K: 15 to 30 °C, indoors (own choice).
inline constexpr Spread bench_temperature = {295.65, 288.15, 303.15};

// The conditions of a bench for this link.
ConditionRanges bench_conditions(const Link& link, const DictionaryOptions& options);

// Adds to readings of a fault's specimens what circuits leave out: a part that is dead inside, a
// node that floats, what is taken off with the power, a meter that is not well. `measurements` and
// good readings are the dictionary's.
void add_what_circuits_leave_out(const Fault& fault, const FaultDictionary& dictionary,
                                 SimulatedReadings& readings);

// Simulates `faults`, or the link's whole table of them. Errors: build_circuit's. Stopped by the
// stop token, it has no readings of the rest of the faults.
Expected<FaultDictionary> fault_dictionary(const Link& link, const DictionaryOptions& options,
                                           std::vector<Fault> faults = {});

// Adds faults and their readings, simulated as those before. Requires the link that the dictionary
// was made of.
void add_faults(const Link& link, std::vector<Fault> faults, const EngineOptions& engine,
                FaultDictionary& dictionary);

// Suspects that no reading whatever shows, none of their faults.
std::vector<std::size_t> unseen_suspects(const FaultDictionary& dictionary);

}  // namespace gapwright
