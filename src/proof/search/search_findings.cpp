#include "proof/search/search_findings.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/search/local_search.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/worst_case.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

void note_outcome(const EngineOutcome& one, EngineOutcome& all) {
    if (one.unsettled && !all.unsettled) all.first_unsettled = one.first_unsettled;
    all.solved += one.solved;
    all.by_single_points += one.by_single_points;
    all.unsettled += one.unsettled;
    all.stopped = all.stopped || one.stopped;
}

}  // namespace

double Target::badness(double value, double temperature) const {
    double bad = magnitude ? std::abs(value) : value;
    if (sense == Sense::at_least) bad = -bad;
    if (derating) bad /= std::max(derating->share(temperature), 1e-9);
    return bad;
}

SearchFindings no_findings(const SearchTask& task) {
    const Extreme none{.specimen = {},
                       .point = task.space.nominal(),
                       .effects = std::vector<double>(task.space.size(), 0.0)};
    return {.cases = {.coordinates = task.space.coordinates(),
                      .extremes = std::vector(task.targets.size(), none),
                      .lowest = std::vector(task.measurer.measures, infinity),
                      .highest = std::vector(task.measurer.measures, -infinity),
                      .outcome = {}},
            .bad = std::vector(task.targets.size(), -infinity)};
}

Scores look_at(const SearchTask& task, const std::vector<Point>& points, SearchFindings& found) {
    const SpecimenSource source{.base = task.space.base(),
                                .count = points.size(),
                                .write = [&](std::size_t k, SpecimenPlace& place) {
                                    task.space.write(points[k], 1, place);
                                }};
    const auto measured = task.measurer.run(source, task.options);
    auto& [cases, best] = found;
    note_outcome(measured.outcome, cases.outcome);
    Scores scores{task.targets.size(), {}};
    scores.bad.reserve(points.size() * task.targets.size());
    for (std::size_t k = 0; k < points.size(); ++k) {
        for (std::size_t m = 0; m < task.measurer.measures; ++m) {
            cases.lowest[m] = std::min(cases.lowest[m], measured.at(k, m));
            cases.highest[m] = std::max(cases.highest[m], measured.at(k, m));
        }
        const double temperature = task.space.temperature_at(points[k]);
        for (std::size_t t = 0; t < task.targets.size(); ++t) {
            const double value = measured.at(k, task.targets[t].measure);
            const double bad = task.targets[t].badness(value, temperature);
            scores.bad.push_back(bad);
            if (!(bad > best[t])) continue;
            best[t] = bad;
            cases.extremes[t].point = points[k];
            cases.extremes[t].value = value;
        }
    }
    return scores;
}

}  // namespace gapwright
