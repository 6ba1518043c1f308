// Scores of sets of values in given scenarios.
#include <cmath>
#include <optional>
#include <span>
#include <vector>

#include "design/values/score.hpp"
#include "design/values/scorer.hpp"
#include "design/values/value_problem.hpp"
#include "population/engine.hpp"

namespace gapwright {

std::vector<Score> ValueProblem::scores(std::span<const ValueSet> sets,
                                        std::span<const Scenario> scenarios,
                                        const std::optional<Hurdle>& hurdle,
                                        const EngineOptions& options) const {
    return Scorer(*this, sets, hurdle, options).run(scenarios);
}

}  // namespace gapwright
