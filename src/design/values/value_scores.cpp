// Scores of sets of values in given scenarios.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <numeric>
#include <optional>
#include <span>
#include <tuple>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "design/values/bounds.hpp"
#include "design/values/practice.hpp"
#include "design/values/scorer.hpp"
#include "design/values/value_problem.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/worst_case.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {

std::vector<Score> ValueProblem::scores(std::span<const ValueSet> sets,
                                        std::span<const Scenario> scenarios,
                                        const std::optional<Hurdle>& hurdle,
                                        const EngineOptions& options) const {
    return Scorer(*this, sets, hurdle, options).run(scenarios);
}

}  // namespace gapwright
