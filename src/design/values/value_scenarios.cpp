// Scenarios and specimens, one from the other.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <span>
#include <utility>

#include "circuit/index.hpp"
#include "design/values/score.hpp"
#include "design/values/stock.hpp"
#include "design/values/value_problem.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/cases/case.hpp"
#include "proof/search/search_space.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

double share_of(const Spread& spread, double value) {
    if (!spread.varies() || value == spread.nominal) {
        return at_nominal;
    }
    return std::clamp((value - spread.lowest) / (spread.highest - spread.lowest), 0.0, 1.0);
}

// A resistance with its tolerance stretched; it ends a thousandth of its nominal above zero, as in
// a search space.
double stretched_ohms(const Choice& choice, double ohms) {
    constexpr double least = 1e-3;
    const double nominal = choice.value.nominal;
    return std::max(nominal + plenty_of_stretch * (ohms - nominal), least * nominal);
}

}  // namespace

double at_share(const Spread& spread, double share) {
    return share == at_nominal ? spread.nominal : std::lerp(spread.lowest, spread.highest, share);
}

Scenario ValueProblem::nominal() const {
    const Specimen specimen = nominal_specimen(*circuit_, ranges_);
    Scenario scenario{.values = {}, .share = {}, .conditions = specimen.conditions};
    scenario.share.fill(at_nominal);
    for (const Slot slot : varied_) scenario.values.push_back(specimen.values[to_index(slot)]);
    return scenario;
}

// The specimens of `sets` sets in all scenarios; refers to the scenarios.
SpecimenSource ValueProblem::specimens(std::size_t sets, std::span<const Scenario> scenarios,
                                       std::function<const ValueSet&(std::size_t)> set) const {
    const auto write = [this, scenarios, set = std::move(set)](std::size_t k,
                                                               SpecimenPlace& place) {
        const Scenario& scenario = scenarios[k % scenarios.size()];
        const ValueSet& chosen = set(k / scenarios.size());
        for (std::size_t v = 0; v < varied_.size(); ++v) place.set(varied_[v], scenario.values[v]);
        for (std::size_t r = 0; r < count(); ++r) {
            place.set(slots_[r], ohms_at(choice(chosen, r), scenario, r));
        }
        place.set(scenario.conditions);
    };
    return {.base = nominal_specimen(*circuit_, ranges_),
            .count = sets * scenarios.size(),
            .write = write};
}

Measurements ValueProblem::measured(std::span<const ValueSet> sets,
                                    std::span<const Scenario> scenarios,
                                    const EngineOptions& options) const {
    const auto set = [sets](std::size_t k) -> const ValueSet& { return sets[k]; };
    return measure_all(*engine_, specimens(sets.size(), scenarios, set), options);
}

double ValueProblem::ohms_at(const Choice& choice, const Scenario& scenario, std::size_t k) const {
    const double ohms = at_share(choice.value, scenario.share[k]);
    return scenario.stretched ? stretched_ohms(choice, ohms) : ohms;
}

std::pair<LinkCircuit, ConditionRanges> ValueProblem::stretched_circuit(const ValueSet& set) const {
    LinkCircuit circuit = circuit_with(set);
    ConditionRanges ranges = ranges_;
    const auto wide = [](const Coordinate& c) {
        return Spread{c.range.nominal, c.value(0, plenty_of_stretch),
                      c.value(1, plenty_of_stretch)};
    };
    for (const Coordinate& c : space_->coordinates()) {
        switch (c.kind) {
            case Varying::parameter:
                circuit.parameters[to_index(c.slot)].spread = wide(c);
                break;
            case Varying::temperature:
                ranges.temperature = wide(c);
                break;
            case Varying::light:
                ranges.light = wide(c);
                break;
            case Varying::age:
                ranges.age = wide(c);
                break;
        }
    }
    for (std::size_t r = 0; r < count(); ++r) {
        const Choice& chosen = choice(set, r);
        circuit.parameters[to_index(slots_[r])].spread = {
            chosen.value.nominal, stretched_ohms(chosen, chosen.value.lowest),
            stretched_ohms(chosen, chosen.value.highest)};
    }
    return {std::move(circuit), ranges};
}

Scenario ValueProblem::stretched_scenario_of(Specimen specimen, const ValueSet& set) const {
    for (std::size_t r = 0; r < count(); ++r) {
        const double nominal = choice(set, r).value.nominal;
        const double ohms = specimen.values[to_index(slots_[r])];
        specimen.set(slots_[r], nominal + (ohms - nominal) / plenty_of_stretch);
    }
    Scenario scenario = scenario_of(specimen, set);
    scenario.stretched = true;
    return scenario;
}

Specimen ValueProblem::specimen_of(const Scenario& scenario) const {
    Specimen specimen = nominal_specimen(*circuit_, ranges_);
    for (std::size_t v = 0; v < varied_.size(); ++v) {
        specimen.set(varied_[v], scenario.values[v]);
    }
    specimen.set(scenario.conditions);
    return specimen;
}

Scenario ValueProblem::scenario_of(const Specimen& specimen, const ValueSet& set) const {
    Scenario scenario{.values = {}, .share = {}, .conditions = specimen.conditions};
    scenario.share.fill(at_nominal);
    for (const Slot slot : varied_) scenario.values.push_back(specimen.values[to_index(slot)]);
    for (std::size_t r = 0; r < count(); ++r) {
        scenario.share[r] = share_of(choice(set, r).value, specimen.values[to_index(slots_[r])]);
    }
    return scenario;
}

}  // namespace gapwright
