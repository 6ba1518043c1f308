// Scenarios and specimens, one from the other.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <span>
#include <utility>

#include "circuit/index.hpp"
#include "design/value_problem.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

double share_of(const Spread& spread, double value) {
    if (!spread.varies() || value == spread.nominal) {
        return at_nominal;
    }
    return std::clamp((value - spread.lowest) / (spread.highest - spread.lowest), 0.0, 1.0);
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
            place.set(slots_[r], at_share(choice(chosen, r).value, scenario.share[r]));
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
