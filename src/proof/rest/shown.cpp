#include "proof/rest/shown.hpp"

#include <fmt/format.h>
#include <cstddef>
#include <utility>
#include <vector>

#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/proof.hpp"

namespace gapwright {

std::vector<Shown> shown_currents(const Link& link, const LinkCircuit& circuit) {
    std::vector<Shown> shown;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        for (const Side side : {Side::input, Side::output}) {
            const auto& probes = circuit.of(k, side);
            if (!probes) continue;
            const bool receiver = part.is_gap() && side == Side::output;
            shown.push_back({receiver ? part.name + ".receiver" : part.name, probes->current()});
            if (const auto base = probes->base_current()) {
                shown.push_back({part.name + ".base", *base});
            }
        }
    }
    return shown;
}

std::vector<Shown> shown_powers(const Link& link, const LinkCircuit& circuit) {
    std::vector<Shown> shown;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        // A logic output's power is that of the circuit behind its pin, not its own.
        if (part.description.kind == Kind::logic_output) continue;
        for (const Side side : {Side::input, Side::output}) {
            const auto& probes = circuit.of(k, side);
            if (!probes) continue;
            const bool receiver = part.is_gap() && side == Side::output;
            shown.push_back({receiver ? part.name + ".receiver" : part.name, probes->power()});
        }
    }
    return shown;
}

std::vector<Shown> shown_voltages(const Link& link) {
    std::vector<Shown> shown;
    for (const Side side : {Side::input, Side::output}) {
        const LinkSide& nodes = link.side(side);
        for (std::size_t n = 1; n < nodes.node_names.size(); ++n) {
            if (!nodes.node_is_named[n] || (n == 1 && !nodes.supply)) continue;
            shown.push_back(
                {fmt::format("{}.{}", side_name(side), nodes.node_names[n]),
                 {.kind = Probe::Kind::voltage,
                  .side = side,
                  .ports = {
                      {.plus = static_cast<Node>(n), .minus = Node::side_return, .current = {}}}}});
        }
    }
    return shown;
}

std::vector<std::pair<std::string, double>> measured(const std::vector<Shown>& shown,
                                                     const StatePoint& point) {
    std::vector<std::pair<std::string, double>> values;
    for (const auto& s : shown) values.emplace_back(s.name, measure(s.probe, point));
    return values;
}

std::vector<NominalState> shown_states(const Link& link, const LinkCircuit& circuit,
                                       const std::vector<StatePoint>& points) {
    const auto currents = shown_currents(link, circuit);
    const auto voltages = shown_voltages(link);
    const auto powers = shown_powers(link, circuit);
    std::vector<NominalState> states;
    for (std::size_t s = 0; s < points.size(); ++s) {
        states.push_back({.name = link.states[s].name,
                          .currents = measured(currents, points[s]),
                          .voltages = measured(voltages, points[s]),
                          .powers = measured(powers, points[s]),
                          .current_bands = {},
                          .voltage_bands = {}});
    }
    return states;
}

}  // namespace gapwright
