#include "proof/rest/rest_verdicts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "link/link.hpp"
#include "population/specimen.hpp"
#include "population/survey.hpp"
#include "proof/cases/case_of.hpp"
#include "proof/cases/influence.hpp"
#include "proof/limits/rating_verdict.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/proof.hpp"
#include "proof/proof_task.hpp"
#include "proof/rest/rest_evidence.hpp"
#include "proof/rest/rest_targets.hpp"
#include "proof/search/stretch_result.hpp"
#include "proof/stated_promise.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

// A broken verdict is an unknown one where it hangs on an assumption.
void settle(const BoundEvidence& bound, Verdict& verdict, std::string& reason) {
    if (verdict != Verdict::broken || bound.settling.empty()) return;
    verdict = Verdict::unknown;
    reason += fmt::format("{}{}", reason.empty() ? "" : "; ", bound.settling);
}

std::optional<Stretch> lesser(const std::optional<Stretch>& a, const std::optional<Stretch>& b) {
    return !a || (b && b->factor < a->factor) ? b : a;
}

void count_kept(const Survey& population, const Watched& watched, PromiseResult& result) {
    result.samples = population.specimens;
    result.kept = watched.kept;
    result.histogram = watched.histogram;
    result.first_drawn = watched.first;
    result.share_kept_low95 = wilson_low95(result.kept, result.samples);
}

PromiseResult promise_result(const ProofTask& task, const PromiseTargets& sought,
                             const RestEvidence& evidence) {
    const auto& [promise, ends] = sought;
    const auto& extremes = evidence.worst.extremes;
    PromiseResult result = stated_promise(task.link, *promise);
    result.lowest = extremes[ends.lowest].value;
    result.highest = extremes[ends.highest].value;
    result.lowest_case = case_of(task.circuit, evidence.worst, ends.lowest);
    result.highest_case = case_of(task.circuit, evidence.worst, ends.highest);
    result.stretch =
        lesser(evidence.bounds[ends.lowest].stretch, evidence.bounds[ends.highest].stretch);
    Verdict verdict = Verdict::kept;
    const auto judge_side = [&](double value, double bound, Sense sense) {
        Verdict side = judge(value, bound, sense, promise->reserve);
        settle(evidence.bounds[ends.of(sense)], side, result.reason);
        verdict = worse(verdict, side);
    };
    if (promise->at_least) judge_side(result.lowest, *promise->at_least, Sense::at_least);
    if (promise->at_most) judge_side(result.highest, *promise->at_most, Sense::at_most);
    result.verdict = with_stretch(verdict, result.stretch, task.link.surroundings.stretch);
    return result;
}

RatingResult rating_result(const ProofTask& task, const RatingTargets& sought, double nominal,
                           const RestEvidence& evidence) {
    const auto& [rating, ends] = sought;
    const Link& link = task.link;
    const auto& extremes = evidence.worst.extremes;
    const BoundEvidence& bound = evidence.bounds[sought.deciding()];
    const auto sized = [&](double v) {
        if (rating.magnitude) return std::abs(v);
        return rating.one_way ? std::max(0.0, v) : v;
    };
    const double temperature = extremes[sought.deciding()].specimen.conditions.temperature;
    RatingResult result{
        .state = link.states[rating.state].name,
        .part = link.parts[rating.part].name + (rating.receiver ? ".receiver" : ""),
        .limit = rating.limit,
        .dimension = rating.dimension,
        .sense = rating.sense,
        .rated = rating.rated,
        .bound = rating.rated * (rating.derating ? rating.derating->share(temperature) : 1),
        .nominal = sized(nominal),
        .lowest = sized(extremes[ends.lowest].value),
        .highest = sized(extremes[ends.highest].value),
        .worst_case = case_of(task.circuit, evidence.worst, sought.deciding()),
        .stretch = bound.stretch};
    judge_rating(rating.basis, link.surroundings.reserve, result);
    settle(bound, result.verdict, result.reason);
    result.verdict = with_stretch(result.verdict, result.stretch, link.surroundings.stretch);
    return result;
}

// Of each promise, at the worst case that counts for it.
void add_influences(const ProofTask& task, const RestTargets& sought, const RestEvidence& evidence,
                    std::vector<PromiseResult>& promises) {
    std::vector<Influenced> quantities;
    for (std::size_t p = 0; p < promises.size(); ++p) {
        const BothEnds& ends = sought.promises[p].ends;
        const std::size_t target = ends.of(promises[p].worst().sense);
        quantities.push_back(
            {sought.measures[ends.measure], evidence.worst.extremes[target].specimen});
    }
    auto found = influences(task.circuit, task.ranges, quantities);
    for (std::size_t p = 0; p < promises.size(); ++p) {
        promises[p].influences = std::move(found[p]);
    }
}

}  // namespace

std::vector<PromiseResult> rest_promises(const ProofTask& task, const RestTargets& sought,
                                         const RestEvidence& evidence) {
    std::vector<PromiseResult> results;
    for (std::size_t p = 0; p < sought.promises.size(); ++p) {
        results.push_back(promise_result(task, sought.promises[p], evidence));
        results.back().nominal = sought.nominal[sought.promises[p].ends.measure];
        if (!task.options.nominal_only) {
            count_kept(evidence.population, evidence.population.watched[p], results.back());
        }
    }
    if (!task.options.nominal_only) add_influences(task, sought, evidence, results);
    return results;
}

std::vector<RatingResult> rest_ratings(const ProofTask& task, const RestTargets& sought,
                                       const RestEvidence& evidence) {
    std::vector<RatingResult> results;
    for (const auto& one : sought.ratings) {
        results.push_back(rating_result(task, one, sought.nominal[one.ends.measure], evidence));
    }
    return results;
}

}  // namespace gapwright
