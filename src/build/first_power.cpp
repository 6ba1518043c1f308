#include "build/first_power.hpp"

#include <algorithm>

namespace gapwright {
namespace {

constexpr double taken_out = 1e9;  // Ω, in series with an emitter that is not there
constexpr std::size_t specimens = 500;

// The slots of the emitters' series resistances: "U1.series_resistance" of a coupler,
// "U1.emitter.series_resistance" of a pair.
std::vector<Slot> emitter_slots(const Link& link, const LinkCircuit& circuit) {
    std::vector<Slot> slots;
    for (const Part& part : link.parts) {
        if (!part.is_gap()) continue;
        for (std::size_t k = 0; k < circuit.parameters.size(); ++k) {
            const std::string& name = circuit.parameters[k].name;
            if (name == part.name + ".series_resistance" ||
                name == part.name + ".emitter.series_resistance") {
                slots.push_back(static_cast<Slot>(k));
            }
        }
    }
    return slots;
}

}  // namespace

std::vector<FirstCurrent> first_currents(const Link& link, const LinkCircuit& circuit,
                                         std::uint64_t seed, const EngineOptions& options) {
    std::vector<FirstCurrent> result;
    std::vector<Measure> measures;
    for (const Side side : {Side::input, Side::output}) {
        if (!link.side(side).supply) continue;
        for (std::size_t s = 0; s < link.states.size(); ++s) {
            measures.push_back({static_cast<StateIndex>(s), supply_current(side)});
            result.push_back({.side = side, .state = link.states[s].name});
        }
    }
    const auto slots = emitter_slots(link, circuit);
    const auto gaps = std::ranges::count_if(link.parts, &Part::is_gap);
    if (static_cast<std::ptrdiff_t>(slots.size()) != gaps) return {};
    ConditionRanges ranges = condition_ranges(link);
    ranges.time_on = exactly(0);
    Specimen dark = nominal_specimen(circuit, ranges);
    for (const Slot slot : slots) dark.set(slot, taken_out);
    const SpecimenSource drawn = population_source(circuit, ranges, seed, specimens);
    // The nominal one, then those drawn.
    const SpecimenSource source{
        .base = dark, .count = specimens + 1, .write = [&](std::size_t k, SpecimenPlace& place) {
            if (k > 0) {
                drawn.write(k - 1, place);
            } else {
                for (std::size_t v = 0; v < dark.values.size(); ++v) {
                    place.set(static_cast<Slot>(v), dark.values[v]);
                }
                place.set(dark.conditions);
            }
            for (const Slot slot : slots) place.set(slot, taken_out);
        }};
    const Engine engine(circuit.circuit, measures, dark);
    EngineOptions quiet = options;
    quiet.progress = {};
    const Measurements measured = measure_all(engine, source, quiet);
    if (measured.outcome.unsettled > 0 || measured.outcome.stopped) return {};
    for (std::size_t m = 0; m < measures.size(); ++m) {
        FirstCurrent& current = result[m];
        current.nominal = current.lowest = current.highest = measured.at(0, m);
        for (std::size_t k = 1; k <= specimens; ++k) {
            current.lowest = std::min(current.lowest, measured.at(k, m));
            current.highest = std::max(current.highest, measured.at(k, m));
        }
    }
    return result;
}

}  // namespace gapwright
