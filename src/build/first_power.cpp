#include "build/first_power.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <vector>
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double taken_out = 1e9;  // Ω, in place of what is not there
constexpr std::size_t specimens = 500;

// The slots of what is taken out: the emitters' series resistances, and both resistances of a
// light-dependent receiver.
struct GapSlots {
    std::vector<Slot> slots;
    std::ptrdiff_t emitters = 0;
};
GapSlots gap_slots(const Link& link, const LinkCircuit& circuit) {
    GapSlots found;
    for (std::size_t p = 0; p < link.parts.size(); ++p) {
        if (!link.parts[p].is_gap()) continue;
        for (std::size_t k = 0; k < circuit.parameters.size(); ++k) {
            const FigureId& id = circuit.parameters[k].id;
            if (!id.is_of_part(p)) continue;
            const bool emitter = (id.of == FigureId::Of::part || id.of == FigureId::Of::emitter) &&
                                 id.key == Key::series_resistance;
            const bool receiver =
                id.of == FigureId::Of::receiver &&
                ((id.key == Key::resistance && !id.condition) || id.key == Key::dark_resistance);
            if (emitter || receiver) found.slots.push_back(static_cast<Slot>(k));
            found.emitters += emitter ? 1 : 0;
        }
    }
    return found;
}

// Currents of the nominal specimen, then of those drawn; with `out` set to 1 GΩ.
Measurements currents_with(const LinkCircuit& circuit, const std::vector<Measure>& measures,
                           const ConditionRanges& ranges, std::uint64_t seed,
                           const std::vector<Slot>& out, const EngineOptions& options) {
    Specimen base = nominal_specimen(circuit, ranges);
    for (const Slot slot : out) base.set(slot, taken_out);
    const SpecimenSource drawn = population_source(circuit, ranges, seed, specimens);
    const SpecimenSource source{
        .base = base, .count = specimens + 1, .write = [&](std::size_t k, SpecimenPlace& place) {
            if (k > 0) {
                drawn.write(k - 1, place);
            } else {
                for (std::size_t v = 0; v < base.values.size(); ++v) {
                    place.set(static_cast<Slot>(v), base.values[v]);
                }
                place.set(base.conditions);
            }
            for (const Slot slot : out) place.set(slot, taken_out);
        }};
    EngineOptions quiet = options;
    quiet.progress = {};
    return measure_all(Engine(circuit.circuit, measures, base), source, quiet);
}

bool whole(const Measurements& measured) {
    return measured.outcome.unsettled == 0 && !measured.outcome.stopped;
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
    const auto out = gap_slots(link, circuit);
    const auto gaps = std::ranges::count_if(link.parts, &Part::is_gap);
    if (out.emitters != gaps) return {};
    ConditionRanges ranges = condition_ranges(link);
    ranges.age = exactly(0);
    const auto fitted = currents_with(circuit, measures, ranges, seed, {}, options);
    ranges.light = exactly(0);
    const auto without = currents_with(circuit, measures, ranges, seed, out.slots, options);
    if (!whole(fitted) || !whole(without)) return {};
    for (std::size_t m = 0; m < measures.size(); ++m) {
        FirstCurrent& current = result[m];
        current.nominal = current.lowest = current.highest = without.at(0, m);
        for (std::size_t k = 0; k <= specimens; ++k) {
            current.lowest = std::min(current.lowest, without.at(k, m));
            current.highest = std::max(current.highest, without.at(k, m));
            current.fitted = std::max(current.fitted, fitted.at(k, m));
        }
    }
    return result;
}

}  // namespace gapwright
