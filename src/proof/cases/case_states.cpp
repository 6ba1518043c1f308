#include "proof/cases/case_states.hpp"

#include <fmt/format.h>

#include <expected>
#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/cases/case.hpp"
#include "proof/proof.hpp"
#include "proof/rest/shown.hpp"

namespace gapwright {
namespace {

void put_on(const CaseFigure& figure, const LinkCircuit& circuit, Specimen& specimen) {
    switch (figure.kind) {
        case Varying::parameter:
            if (const auto slot = circuit.find(figure.figure)) specimen.set(*slot, figure.value);
            break;
        case Varying::temperature:
            specimen.conditions.temperature = figure.value;
            break;
        case Varying::light:
            specimen.conditions.light = figure.value;
            break;
        case Varying::age:
            specimen.conditions.age = figure.value;
            break;
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
