#include "circuit/enclosure.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/affine.hpp"
#include "circuit/enclosed_side.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/mean_value.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "circuit/probe.hpp"
#include "circuit/ranged.hpp"
#include "device/interval.hpp"

namespace gapwright {
Enclosure::Enclosure(const Circuit& circuit, std::span<const double> values,
                     const Conditions& conditions, std::span<const Measure> measures)
    : circuit_(circuit),
      values_(values.begin(), values.end()),
      conditions_(conditions),
      measures_(measures.begin(), measures.end()),
      law_slots_(circuit.slots, false),
      output_measured_(circuit.states.size(), false) {
    for (const auto& m : measures_) {
        if (m.probe.side == Side::output) output_measured_[to_index(m.state)] = true;
    }
    const std::vector<Interval> figures(values.begin(), values.end());
    for (const auto& state : circuit.states) {
        input_laws_.push_back(laws(state.input, figures));
        output_laws_.push_back(laws(state.output, figures));
        for (const Network* network : {&state.input, &state.output}) {
            const auto note = [&](Slot slot) {
                law_slots_[to_index(slot)] = true;
                return 1.0;
            };
            const std::vector<double> dark(circuit.gaps.size(), 1.0);
            const prepared::Preparer<double, decltype(note)> preparer{note, 298.15, dark};
            for (const auto& element : network->elements) {
                if (!std::holds_alternative<Branch>(element)) std::visit(preparer, element);
            }
        }
    }
    if (auto points = solve_link(circuit, values_, conditions_)) start_ = std::move(*points);
}

Enclosure::Laws Enclosure::laws(const Network& network, std::span<const Interval> figures) const {
    const auto value = [&](Slot slot) { return figures[to_index(slot)]; };
    // Light comes to each side by other ways: mean_value.hpp.
    const std::vector<Interval> dark(circuit_.gaps.size(), Interval(1.0));
    const prepared::Preparer<Interval, decltype(value)> preparer{value, conditions_.temperature,
                                                                 dark};
    Laws result;
    result.reserve(network.elements.size());
    for (const auto& element : network.elements) result.push_back(std::visit(preparer, element));
    return result;
}

bool Enclosure::read_by_laws(std::span<const SlotRange> ranges) const {
    return std::ranges::any_of(ranges,
                               [&](const SlotRange& r) { return law_slots_[to_index(r.slot)]; });
}

std::optional<std::vector<Interval>> Enclosure::over(std::span<const SlotRange> ranges) const {
    const Ranged ranged(values_, ranges);
    const auto points =
        solve_link(circuit_, ranged.middle, conditions_, start_ ? &*start_ : nullptr);
    if (!points) return std::nullopt;
    const bool own_laws = read_by_laws(ranges);
    const std::size_t states = circuit_.states.size();
    const std::size_t gaps = circuit_.gaps.size();

    std::vector<Laws> ranged_laws;  // kept for as long as the sides that refer to them
    ranged_laws.reserve(2 * states);
    const auto laws_of = [&](const Network& network, const Laws& exact) -> const Laws& {
        if (!own_laws) return exact;
        return ranged_laws.emplace_back(laws(network, ranged.figures));
    };

    std::vector<EnclosedSide> inputs;
    inputs.reserve(states);
    std::vector<std::vector<Affine>> emitter(gaps);  // its current by gap and state
    for (std::size_t s = 0; s < states; ++s) {
        const Network& network = circuit_.states[s].input;
        inputs.emplace_back(network, laws_of(network, input_laws_[s]), std::span<const Affine>{},
                            (*points)[s].input, ranged);
        if (!inputs[s].prove()) return std::nullopt;
        for (std::size_t g = 0; g < gaps; ++g) {
            emitter[g].push_back(inputs[s].main_current(to_index(circuit_.gaps[g].emitter)));
        }
    }
    std::vector<std::vector<Affine>> light(states);  // kept for as long as the output sides
    std::vector<std::optional<EnclosedSide>> outputs(states);
    for (std::size_t s = 0; s < states; ++s) {
        if (!output_measured_[s]) continue;
        for (std::size_t g = 0; g < gaps; ++g) {
            light[s].push_back(
                gap_light(circuit_.gaps[g], ranged, conditions_, emitter[g], s, circuit_.shares));
        }
        const Network& network = circuit_.states[s].output;
        outputs[s].emplace(network, laws_of(network, output_laws_[s]), light[s],
                           (*points)[s].output, ranged);
        if (!outputs[s]->prove()) return std::nullopt;
    }

    std::vector<Interval> result;
    for (const auto& m : measures_) {
        const std::size_t s = to_index(m.state);
        const EnclosedSide& side = m.probe.side == Side::input ? inputs[s] : *outputs[s];
        result.push_back(side.measure(m.probe));
        if (!result.back().bounded()) return std::nullopt;
    }
    return result;
}

std::optional<std::vector<Interval>> enclose(const Circuit& circuit, std::span<const double> values,
                                             const Conditions& conditions,
                                             std::span<const SlotRange> ranges,
                                             std::span<const Measure> measures) {
    return Enclosure(circuit, values, conditions, measures).over(ranges);
}

}  // namespace gapwright
