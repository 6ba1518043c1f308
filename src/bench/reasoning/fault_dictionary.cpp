#include "bench/reasoning/fault_dictionary.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <limits>
#include <optional>
#include <random>
#include <utility>
#include <vector>

#include "bench/faults/fault.hpp"
#include "bench/faults/link_edits.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_scale.hpp"
#include "bench/meter/simulated_readings.hpp"
#include "bench/reasoning/unseen_faults.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

constexpr std::size_t least_known = 24;  // specimens

// The measurements of which next to nothing is known: hardly a specimen could be solved there, or
// less than half of those of others, which would take the others along.
std::vector<bool> unknown_of(const SimulatedReadings& raw) {
    std::vector<std::size_t> known(raw.measurements, 0);
    for (std::size_t m = 0; m < raw.measurements; ++m) {
        for (std::size_t k = 0; k < raw.specimens; ++k)
            known[m] += std::isnan(raw.at(k, m)) ? 0 : 1;
    }
    const std::size_t most = known.empty() ? 0 : std::ranges::max(known);
    std::vector<bool> unknown;
    for (const std::size_t count : known) {
        unknown.push_back(count < std::max(least_known, most / 2));
    }
    return unknown;
}

// The specimens of which every other reading is known.
std::vector<std::size_t> solved_of(const SimulatedReadings& raw, const std::vector<bool>& unknown) {
    std::vector<std::size_t> solved;
    for (std::size_t k = 0; k < raw.specimens; ++k) {
        bool whole = true;
        for (std::size_t m = 0; m < raw.measurements; ++m) {
            whole = whole && (unknown[m] || !std::isnan(raw.at(k, m)));
        }
        if (whole) solved.push_back(k);
    }
    return solved;
}

// Their readings, on the scale.
FaultReadings scaled_readings(const FaultDictionary& dictionary, const SimulatedReadings& raw) {
    FaultReadings result{.unknown = unknown_of(raw)};
    const auto solved = solved_of(raw, result.unknown);
    result.specimens = solved.size();
    result.scaled.resize(raw.measurements * solved.size());
    result.others.resize(result.scaled.size());
    for (std::size_t m = 0; m < raw.measurements; ++m) {
        const MeasurementKind kind = dictionary.measurements[m].kind;
        double squares = 0;
        for (std::size_t k = 0; !result.unknown[m] && k < solved.size(); ++k) {
            const double one = scaled(dictionary.meter, kind, raw.at(solved[k], m));
            const double other = scaled(dictionary.meter, kind, raw.other(solved[k], m));
            result.scaled[m * solved.size() + k] = one;
            result.others[m * solved.size() + k] = other;
            squares += 0.25 * (one - other) * (one - other);
        }
        const double mean = squares / std::max<double>(1, static_cast<double>(solved.size()));
        result.doubt.push_back(std::sqrt(mean));
    }
    return result;
}

// The values of the fault's figure, by specimen.
std::vector<double> figure_values(const Link& link, const FaultFigure& figure,
                                  const ConditionRanges& conditions, std::uint64_t seed,
                                  const std::vector<std::size_t>& specimens) {
    const auto circuit = build_circuit(link);
    if (!circuit) return {};
    const auto slot = circuit->find(figure.figure);
    if (!slot) return {};
    std::vector<double> values;
    for (const std::size_t k : specimens) {
        values.push_back(draw_specimen(*circuit, conditions, seed, k).values[to_index(*slot)]);
    }
    return values;
}

// What a lead lifted shows of a part that is dead inside: nothing, or a short.
double dead_reading(MeasurementKind kind, bool open) {
    if (open) return std::numeric_limits<double>::infinity();
    return kind == MeasurementKind::junction ? 0 : edits::short_circuit.nominal;
}

// Of a fault, on specimens of the link with it; none where it cannot be simulated.
FaultReadings readings_of(const Link& link, const Fault& fault, const FaultDictionary& dictionary) {
    if (fault.is_none()) return scaled_readings(dictionary, dictionary.good);
    const DictionaryOptions& options = dictionary.options;
    Link faulty = link;
    if (fault.edit) fault.edit(faulty);
    const BenchSetup setup{dictionary.meter, dictionary.measurements, dictionary.nominals,
                           bench_conditions(faulty, options)};
    auto raw = simulate_readings(faulty, setup, fault.bridge, options.seed, options.specimens);
    if (!raw) return {};
    add_what_circuits_leave_out(fault, dictionary, *raw);
    FaultReadings readings = scaled_readings(dictionary, *raw);
    if (fault.figure) {
        readings.figure = figure_values(faulty, *fault.figure, setup.conditions, options.seed,
                                        solved_of(*raw, readings.unknown));
    }
    return readings;
}

// Of the faults from number `first` on.
void simulate(const Link& link, const EngineOptions& engine, std::size_t first,
              FaultDictionary& dictionary) {
    const std::size_t all = dictionary.faults.size();
    dictionary.readings.resize(all);
    std::atomic<std::size_t> done = 0;
    at_once(all - first, engine, [&](std::size_t k) {
        if (engine.stop.stop_requested()) return;
        const std::size_t f = first + k;
        if (!dictionary.faults[f].loose) {
            dictionary.readings[f] = readings_of(link, dictionary.faults[f], dictionary);
        }
        if (engine.progress) engine.progress(++done);
    });
    for (std::size_t f = first; f < all; ++f) {
        if (dictionary.faults[f].loose) dictionary.readings[f] = dictionary.readings[f - 1];
    }
}

// Suspects of the faults from number `first` on.
void name_suspects(std::size_t first, FaultDictionary& dictionary) {
    if (dictionary.suspects.empty()) dictionary.suspects = {""};
    for (std::size_t f = first; f < dictionary.faults.size(); ++f) {
        const Fault& fault = dictionary.faults[f];
        const auto found = std::ranges::find(dictionary.suspects, fault.suspect);
        dictionary.suspect_of.push_back(
            static_cast<std::size_t>(found - dictionary.suspects.begin()));
        if (found == dictionary.suspects.end()) dictionary.suspects.push_back(fault.suspect);
    }
}

}  // namespace

void add_what_circuits_leave_out(const Fault& fault, const FaultDictionary& dictionary,
                                 SimulatedReadings& readings) {
    // V either way, of a node that nothing holds; as often there is nothing to pick up (own choice)
    constexpr double pick_up = 0.04;
    std::mt19937_64 random(dictionary.options.seed);
    const auto share = [&] { return static_cast<double>(random() >> 11U) * 0x1.0p-52 - 1; };
    for (std::size_t m = 0; m < readings.measurements; ++m) {
        const Measurement& of = dictionary.measurements[m];
        const auto set_all = [&](double value) {
            for (std::size_t k = 0; k < readings.specimens; ++k) {
                readings.at(k, m) = value;
                readings.others[k * readings.measurements + m] = value;
            }
        };
        const auto& dead = fault.by_itself;
        if (dead && of.lifted == dead->part) set_all(dead_reading(of.kind, dead->open));
        if (fault.only_powered && of.state == unpowered) {
            for (std::size_t k = 0; k < readings.specimens; ++k) {
                const std::size_t good = k % dictionary.good.specimens;
                readings.at(k, m) = dictionary.good.at(good, m);
                readings.others[k * readings.measurements + m] = dictionary.good.other(good, m);
            }
        }
        const bool voltage = of.kind == MeasurementKind::voltage;
        if (fault.meter == MeterFault::no_voltage && of.kind != MeasurementKind::current) {
            set_all(voltage ? 0 : std::numeric_limits<double>::infinity());
        }
        if (fault.meter == MeterFault::no_current && of.kind == MeasurementKind::current) {
            set_all(0);
        }
        const auto& node = fault.floating;
        if (!node || !voltage || of.side != node->side) continue;
        if (of.plus != node->node && of.minus != node->node) continue;
        for (std::size_t k = 0; k < readings.specimens; ++k) {
            if (random() % 2 == 0) readings.at(k, m) += pick_up * share();
        }
    }
}

ConditionRanges bench_conditions(const Link& link, const DictionaryOptions& options) {
    ConditionRanges ranges = condition_ranges(link);
    ranges.temperature = options.temperature.value_or(bench_temperature);
    ranges.age = {.nominal = 0, .lowest = 0, .highest = options.age};
    ranges.light.lowest = 0;  // a hand, or a cover: nobody states how it is while leads are held
    return ranges;
}

Expected<FaultDictionary> fault_dictionary(const Link& link, const DictionaryOptions& options,
                                           std::vector<Fault> faults) {
    const auto circuit = build_circuit(link);
    if (!circuit) return std::unexpected(circuit.error());
    const Link prepared = prepared_for_faults(link, *circuit);
    FaultDictionary dictionary;
    dictionary.options = options;
    dictionary.meter = link.meter;
    dictionary.measurements = measurements_of(link);
    dictionary.faults = faults.empty() ? fault_table(prepared) : std::move(faults);
    BenchSetup setup{dictionary.meter, dictionary.measurements, dictionary.nominals,
                     bench_conditions(prepared, options)};
    // Without burden first, for the ranges on which currents are then taken.
    auto nominals = nominal_readings(prepared, setup);
    if (!nominals) return std::unexpected(nominals.error());
    dictionary.nominals = std::move(*nominals);
    nominals = nominal_readings(prepared, setup);
    if (!nominals) return std::unexpected(nominals.error());
    auto good =
        simulate_readings(prepared, setup, std::nullopt, options.seed, options.good_specimens);
    if (!good) return std::unexpected(good.error());
    dictionary.nominals = std::move(*nominals);
    dictionary.good = std::move(*good);
    simulate(prepared, options.engine, 0, dictionary);
    name_suspects(0, dictionary);
    dictionary.unseen = unseen_faults(dictionary);
    return dictionary;
}

void add_faults(const Link& link, std::vector<Fault> faults, const EngineOptions& engine,
                FaultDictionary& dictionary) {
    const auto circuit = build_circuit(link);
    if (!circuit) return;  // the dictionary's own link builds
    const std::size_t first = dictionary.faults.size();
    for (Fault& fault : faults) dictionary.faults.push_back(std::move(fault));
    simulate(prepared_for_faults(link, *circuit), engine, first, dictionary);
    name_suspects(first, dictionary);
    dictionary.unseen.resize(dictionary.faults.size(), false);
}

std::vector<std::size_t> unseen_suspects(const FaultDictionary& dictionary) {
    std::vector<bool> seen(dictionary.suspects.size(), false);
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
        const bool unseen = f < dictionary.unseen.size() && dictionary.unseen[f];
        if (!unseen) seen[dictionary.suspect_of[f]] = true;
    }
    std::vector<std::size_t> result;
    for (std::size_t s = 0; s < seen.size(); ++s) {
        if (!seen[s]) result.push_back(s);
    }
    return result;
}

}  // namespace gapwright
