#include "proof/timed/drift.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <optional>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "device/light.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/rest/shown.hpp"

namespace gapwright {
namespace {

constexpr double noticed_rise = 0.1;      // K
constexpr double noticed_voltage = 1e-3;  // V

// K/W, from full rating to none over the rated power.
std::optional<double> thermal_resistance(const Description& emitter) {
    const auto* power = emitter.find(Key::power);
    const auto* full = emitter.find(Key::full_rating_to);
    const auto* zero = emitter.find(Key::zero_rating_at);
    if (!power || !full || !zero) return std::nullopt;
    return (zero->spread.nominal - full->spread.nominal) / power->spread.nominal;
}

// The figure that a gap's light is in proportion to, by slot.
std::optional<Slot> light_slot(const Link& link, const LinkCircuit& circuit, std::size_t part) {
    const bool packaged = link.parts[part].description.kind == Kind::coupler;
    return circuit.find(figure_of(part, packaged ? Key::photocurrent_ratio : Key::intensity));
}

}  // namespace

Drift drift_of(const Link& link, const LinkCircuit& circuit, const Specimen& specimen,
               std::size_t state) {
    Drift drift;
    const auto cold = solve_link(circuit.circuit, specimen.values, specimen.conditions);
    if (!cold) return drift;
    Specimen warm = specimen;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        if (!part.is_gap() || !part.input) continue;
        const bool packaged = part.description.kind == Kind::coupler;
        const Description& emitter = packaged ? part.description : *part.description.emitter;
        const auto resistance = thermal_resistance(emitter);
        const auto slot = light_slot(link, circuit, k);
        if (!resistance || !slot) continue;
        const double power = measure(circuit.of(k, Side::input)->power(), (*cold)[state]);
        const double rise = power * *resistance;
        if (rise < noticed_rise) continue;
        const double coefficient = emitter.nominal(Key::temperature_coefficient);
        const double here = specimen.conditions.temperature;
        const double light = light_at_temperature(coefficient, here + rise) /
                             light_at_temperature(coefficient, here);
        drift.emitters.push_back({part.name, power, rise, light});
        warm.set(*slot, specimen.values[to_index(*slot)] * light);
    }
    if (drift.emitters.empty()) return drift;
    const auto after = solve_link(circuit.circuit, warm.values, warm.conditions);
    if (!after) return drift;
    for (const auto& shown : shown_voltages(link)) {
        if (shown.probe.side != Side::output) continue;
        const double from = measure(shown.probe, (*cold)[state]);
        const double to = measure(shown.probe, (*after)[state]);
        if (std::abs(to - from) >= noticed_voltage) drift.nodes.push_back({shown.name, from, to});
    }
    return drift;
}

}  // namespace gapwright
