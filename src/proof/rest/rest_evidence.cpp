#include "proof/rest/rest_evidence.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <expected>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "population/survey.hpp"
#include "proof/limits/assumed_figures.hpp"
#include "proof/proof.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "proof/rest/rest_targets.hpp"
#include "proof/search/asked_bounds.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/stretch.hpp"
#include "proof/search/stretch_result.hpp"
#include "proof/search/worst_case.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

// How what follows the population looks for things.
struct Manner {
    EngineOptions engine;
    Effort effort;
    StretchSearch stretch;
};

Manner manner_after(const Survey& population, const ProofOptions& options) {
    EngineOptions engine = options.engine;
    engine.progress = {};
    // Stopped by the user: what is left is done, where that is soon.
    if (population.specimens < options.samples) engine.stop = {};
    // Where many specimens do not settle in lanes, each takes a thousand times as long, and fewer
    // are looked at.
    const bool laborious = 10 * population.outcome.by_single_points > population.specimens;
    return {std::move(engine), laborious ? Effort::plain : Effort::thorough,
            laborious ? StretchSearch::sparing : StretchSearch::thorough};
}

std::vector<Watch> watches_of(const std::vector<PromiseTargets>& promises) {
    std::vector<Watch> watches;
    for (const auto& [promise, ends] : promises) {
        watches.push_back(
            {.measure = ends.measure, .at_least = promise->at_least, .at_most = promise->at_most});
    }
    return watches;
}

// For each target the worst specimen of the population, each specimen once. (Derating only shifts
// which of two hot specimens is worse: the search sees to it.)
std::vector<Specimen> worst_drawn(const ProofTask& task, const std::vector<Target>& targets,
                                  const Survey& population) {
    if (task.options.samples == 0) return {};
    const double temperature = nominal_specimen(task.circuit, task.ranges).conditions.temperature;
    std::set<std::size_t> numbers;
    for (const auto& target : targets) {
        const Extent& extent = population.extents[target.measure];
        const bool highest = target.badness(extent.highest, temperature) >=
                             target.badness(extent.lowest, temperature);
        numbers.insert(highest ? extent.highest_specimen : extent.lowest_specimen);
    }
    std::vector<Specimen> specimens;
    for (const std::size_t k : numbers) {
        specimens.push_back(draw_specimen(task.circuit, task.ranges, task.options.seed, k));
    }
    return specimens;
}

std::vector<AskedBound> asked_bounds(const RestTargets& sought) {
    std::vector<AskedBound> bounds;
    const auto add = [&](std::size_t target, double limit, double nominal_limit) {
        const double sign = sought.targets[target].sense == Sense::at_least ? -1 : 1;
        bounds.push_back({target, sign * limit, sign * nominal_limit});
    };
    for (const auto& [promise, ends] : sought.promises) {
        if (promise->at_least) add(ends.lowest, *promise->at_least, *promise->at_least);
        if (promise->at_most) add(ends.highest, *promise->at_most, *promise->at_most);
    }
    for (const auto& one : sought.ratings) {
        if (one.rating.basis.assumed) continue;
        add(one.deciding(), one.rating.rated, one.rating.rated_nominal);
    }
    return bounds;
}

// Of what breaks, whether it hangs on what is only assumed; of the bounds that are nearest, how far
// every spread may be stretched.
std::vector<BoundEvidence> bound_evidence(const ProofTask& task, const std::vector<Target>& targets,
                                          const std::vector<AskedBound>& asked,
                                          const WorstCases& worst, const Measurer& measurer,
                                          const Manner& manner) {
    std::vector<BoundEvidence> evidence(targets.size());
    for (const auto& bound : asked) {
        if (holds(bound, targets, worst)) continue;
        const Extreme& extreme = worst.extremes[bound.target];
        evidence[bound.target].settling = settling_figures(task.circuit, task.ranges, measurer,
                                                           {.target = targets[bound.target],
                                                            .limit = bound.limit,
                                                            .worst = extreme.point,
                                                            .effects = extreme.effects},
                                                           manner.effort, manner.engine);
    }
    if (!task.options.stretch) return evidence;
    const auto nearest = nearest_of_each_kin(asked, targets, worst);
    std::vector<StretchBound> bounds;
    for (const auto& bound : nearest) {
        bounds.push_back({.target = targets[bound.target],
                          .limit = bound.limit,
                          .nominal_limit = bound.nominal_limit,
                          .worst = worst.extremes[bound.target].point,
                          .holds = holds(bound, targets, worst)});
    }
    const SearchSpace space(task.circuit, task.ranges);
    const auto found = find_stretches(space, measurer, bounds, manner.stretch, manner.engine);
    for (std::size_t b = 0; b < found.size(); ++b) {
        evidence[nearest[b].target].stretch = stretch_of(task.circuit, space, found[b]);
    }
    return evidence;
}

void note_unsettled(const Link& link, const EngineOutcome& outcome, std::string_view which,
                    std::vector<NotJudged>& not_judged) {
    if (outcome.unsettled == 0) return;
    const auto& first = *outcome.first_unsettled;
    not_judged.push_back(
        {.state = link.states[to_index(first.state)].name,
         .what = fmt::format("{} of {} specimens {}", outcome.unsettled, outcome.solved, which),
         .reason = not_settled(link, first, "the first of them"),
         .promised = false});
}

ProofFailure stopped() {
    return {"stopped before the proof was complete", true};
}

}  // namespace

RestEvidence nominal_evidence(const ProofTask& task, const RestTargets& sought) {
    RestEvidence evidence;
    for (const auto& target : sought.targets) {
        evidence.worst.extremes.push_back({.value = sought.nominal[target.measure],
                                           .specimen = nominal_specimen(task.circuit, task.ranges),
                                           .point = {},
                                           .effects = {}});
    }
    evidence.bounds.resize(sought.targets.size());
    return evidence;
}

std::expected<RestEvidence, ProofFailure> rest_evidence(const ProofTask& task,
                                                        const RestTargets& sought) {
    const auto& [link, circuit, ranges, options] = task;
    const Engine engine(circuit.circuit, sought.measures, nominal_specimen(circuit, ranges),
                        figure_ranges(circuit, ranges));
    const Measurer measurer = measurer_of(engine);
    RestEvidence evidence;
    evidence.population =
        survey(engine, population_source(circuit, ranges, options.seed, options.samples),
               watches_of(sought.promises), options.engine);
    // Stopped by the user with some drawn: what there is says what it says.
    const auto& drawn = evidence.population.outcome;
    if (drawn.stopped && drawn.solved == 0) return std::unexpected(stopped());
    const Manner manner = manner_after(evidence.population, options);
    evidence.worst = find_worst_cases(circuit, ranges, measurer, sought.targets,
                                      worst_drawn(task, sought.targets, evidence.population),
                                      manner.engine, manner.effort);
    if (evidence.worst.outcome.stopped) return std::unexpected(stopped());
    evidence.bounds = bound_evidence(task, sought.targets, asked_bounds(sought), evidence.worst,
                                     measurer, manner);
    note_unsettled(link, drawn, "of those drawn", evidence.not_judged);
    note_unsettled(link, evidence.worst.outcome, "of the search for the worst",
                   evidence.not_judged);
    return evidence;
}

std::string not_settled(const Link& link, const LinkNotSettled& error, std::string_view which) {
    const auto& where = error.where;
    return fmt::format(
        "no operating point was found for {} in state {}: the currents at the {} side's node {} "
        "would not balance (off by {:.3g} A)",
        which, link.states[to_index(error.state)].name, side_name(where.side),
        node_description(link.side(where.side), where.node), where.unbalanced);
}

}  // namespace gapwright
