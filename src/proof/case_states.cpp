#include "proof/case_states.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/case.hpp"
#include "proof/proof.hpp"
#include "proof/shown.hpp"

namespace gapwright {
namespace {

void put_on(const CaseFigure& figure, const LinkCircuit& circuit, Specimen& specimen) {
    if (figure.name == "temperature") {
        specimen.conditions.temperature = figure.value;
    } else if (figure.name == "light") {
        specimen.conditions.light = figure.value;
    } else if (figure.name == "age") {
        specimen.conditions.age = figure.value;
    } else {
        const auto found = std::ranges::find(circuit.parameters, figure.name, &Parameter::name);
        if (found == circuit.parameters.end()) return;
        specimen.values[static_cast<std::size_t>(found - circuit.parameters.begin())] =
            figure.value;
    }
}

}  // namespace

std::expected<std::vector<NominalState>, std::string> states_in_case(const Link& link,
                                                                     const LinkCircuit& circuit,
                                                                     const Case& figures) {
    Specimen specimen = nominal_specimen(circuit, condition_ranges(link));
    for (const auto& figure : figures) put_on(figure, circuit, specimen);
    const auto points = solve_link(circuit.circuit, specimen.values, specimen.conditions);
    if (!points) {
        return std::unexpected(fmt::format("no operating point was found for this case in state {}",
                                           link.states[to_index(points.error().state)].name));
    }
    return shown_states(link, circuit, *points);
}

}  // namespace gapwright
