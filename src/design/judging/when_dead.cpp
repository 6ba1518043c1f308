#include "design/judging/when_dead.hpp"

#include <cstddef>
#include <string>
#include <vector>

#include "card/key.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/rest/promise_probe.hpp"

namespace gapwright {
namespace {

void set(const LinkCircuit& circuit, const FigureId& figure, Specimen& specimen) {
    if (const auto slot = circuit.find(figure)) specimen.set(*slot, 0);
}

// Everything that drives the input side at nothing.
Specimen dead_specimen(const Link& link, const LinkCircuit& circuit) {
    Specimen specimen = nominal_specimen(circuit, condition_ranges(link));
    set(circuit, supply_figure(Side::input, Key::voltage), specimen);
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        if (!part.input || part.is_gap()) continue;
        for (const Key key : {Key::voltage, Key::high, Key::low}) {
            set(circuit, figure_of(k, key), specimen);
        }
    }
    return specimen;
}

bool holds(const Promise& promise, double value) {
    return (!promise.at_least || value >= *promise.at_least) &&
           (!promise.at_most || value <= *promise.at_most);
}

}  // namespace

std::vector<std::string> states_when_dead(const Link& link, const LinkCircuit& circuit) {
    const Specimen specimen = dead_specimen(link, circuit);
    const auto points = solve_link(circuit.circuit, specimen.values, specimen.conditions);
    if (!points) return {};
    std::vector<std::string> names;
    for (std::size_t s = 0; s < link.states.size(); ++s) {
        bool spoken_of = false;
        bool all = true;
        for (const auto& promise : link.promises) {
            if (!promise.at_rest() || promise.state != s) continue;
            const Probe probe = promise_probe(promise, circuit);
            if (probe.side != Side::output) continue;
            spoken_of = true;
            for (const auto& point : *points) all = all && holds(promise, measure(probe, point));
        }
        if (spoken_of && all) names.push_back(link.states[s].name);
    }
    return names;
}

}  // namespace gapwright
