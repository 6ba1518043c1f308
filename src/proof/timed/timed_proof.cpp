#include "proof/timed/timed_proof.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "population/at_once.hpp"
#include "population/specimen.hpp"
#include "proof/limits/rating_verdict.hpp"
#include "proof/proof.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "proof/rest/promise_probe.hpp"
#include "proof/search/stretch_result.hpp"
#include "proof/stated_promise.hpp"
#include "proof/timed/nominal_in_time.hpp"
#include "proof/timed/timed_limits.hpp"
#include "proof/timed/timed_study.hpp"
#include "proof/timed/timed_subject.hpp"
#include "proof/verdict.hpp"
#include "time/signal_rate.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

constexpr std::size_t bars = 24;  // of a histogram of a few hundred values
constexpr std::size_t first_values = 100;

Sense sense_of(const Promise& promise) {
    return promise.before || promise.at_most ? Sense::at_most : Sense::at_least;
}

// What a promise's value may be at most (or at least, where that is what it asks). Of the eye no
// stretch is looked for: it takes long waveforms, and is looked at where the others are worst.
std::optional<double> limit_of(const Promise& promise) {
    if (promise.before) return promise.within;
    if (promise.signal == Promise::OfSignal::eye) return std::nullopt;
    return sense_of(promise) == Sense::at_most ? promise.at_most : promise.at_least;
}

bool of_eye(const Promise& promise) {
    return promise.signal == Promise::OfSignal::eye;
}

void count_drawn(const std::vector<double>& values, PromiseResult& result) {
    result.samples = values.size();
    for (const double value : values) {
        const double sized = result.either_sign ? std::abs(value) : value;
        const bool kept = (!result.at_least || sized >= *result.at_least) &&
                          (!result.at_most || sized <= *result.at_most);
        if (kept) ++result.kept;
    }
    result.share_kept_low95 = wilson_low95(result.kept, result.samples);
    if (values.empty()) return;
    result.first_drawn = values;
    result.first_drawn.resize(std::min(values.size(), first_values));
    const auto [least, most] = std::ranges::minmax(values);
    if (!(least < most) || (result.dimension == Dimension::time && most >= never)) return;
    result.histogram = {.low = least, .high = most, .counts = std::vector<std::uint64_t>(bars)};
    for (const double value : values) result.histogram.add(value);
}

// A promise with the item that measures it; none for the highest rate, which the items of the
// signal's other promises are looked at for.
struct AskedPromise {
    const Promise* promise;
    std::optional<std::size_t> item;
};

struct AskedLimit {
    TimedLimit limit;
    std::size_t item;
};

struct TimedSubjects {
    std::vector<AskedPromise> promises;  // in the link's order
    std::vector<AskedLimit> limits;
    std::vector<StudyItem> items;
    std::vector<NotJudged> not_judged;
    Strays strays = Strays::none;
};

// A limit that the way between two states comes nearer to than either of them does, and nearer
// than to half of it; and whatever is asked for in a disturbance.
bool matters(const TimedLimit& limit, double peak) {
    constexpr double noticed = 0.02;  // of the bound
    constexpr double near = 0.5;
    const double size = std::abs(peak);
    return limit.always ||
           (size > limit.at_rest + noticed * limit.bound && size > near * limit.bound);
}

// What the whole way cannot be judged by takes no promise at rest along. One entry for all limits
// of a part on that way.
void leave_out(const TimedLimit& limit, const std::string& reason,
               std::vector<NotJudged>& not_judged) {
    const std::string what = fmt::format("the limits of {} on the way", limit.part);
    const bool told = std::ranges::any_of(not_judged, [&](const NotJudged& other) {
        return other.state == limit.where && other.what == what;
    });
    if (!told) not_judged.push_back({limit.where, what, reason, false});
}

TimedSubjects promises_in_time(const ProofTask& task) {
    TimedSubjects subjects;
    for (const auto& promise : task.link.promises) {
        if (promise.at_rest()) continue;
        subjects.promises.push_back({&promise, std::nullopt});
        if (promise.signal == Promise::OfSignal::highest_rate) continue;
        subjects.promises.back().item = subjects.items.size();
        subjects.items.push_back({.measure = timed_measure_of(task.link, task.circuit, promise),
                                  .search = of_eye(promise) ? Search::others : Search::own,
                                  .sense = sense_of(promise),
                                  .magnitude = promise.signal == Promise::OfSignal::width_error,
                                  .limit = limit_of(promise)});
    }
    return subjects;
}

std::expected<TimedSubjects, ProofFailure> with_limits(TimedSubjects subjects,
                                                       const ProofTask& task,
                                                       const std::vector<StatePoint>& nominal) {
    std::vector<StudyItem> candidates;
    std::vector<TimedMeasure> measures;
    auto limits = timed_limits(task.link, task.circuit, nominal);
    for (const auto& limit : limits) {
        candidates.push_back(
            {.measure = limit.measure,
             .search = Search::guided,
             .sense = limit.sense,
             .magnitude = limit.magnitude,
             .derating = limit.derating,
             .limit = limit.basis.assumed ? std::optional<double>() : limit.bound});
        measures.push_back(limit.measure);
    }
    const auto peaks = nominal_in_time(task, measures);
    if (!peaks) return std::unexpected(peaks.error());
    subjects.strays = peaks->strays;
    for (std::size_t k = 0; k < limits.size(); ++k) {
        const auto& [peak, failure] = peaks->items[k];
        if (!failure.empty()) {
            leave_out(limits[k], failure, subjects.not_judged);
        } else if (matters(limits[k], peak)) {
            subjects.limits.push_back({std::move(limits[k]), subjects.items.size()});
            subjects.items.push_back(std::move(candidates[k]));
        }
    }
    return subjects;
}

PromiseResult measured_result(const ProofTask& task, const Promise& promise,
                              const Studied& studied) {
    PromiseResult result = stated_promise(task.link, promise);
    result.nominal = studied.nominal;
    result.lowest = studied.lowest;
    result.highest = studied.highest;
    if (!studied.failure.empty()) {
        result.lowest = result.highest = std::numeric_limits<double>::quiet_NaN();
        result.reason = studied.failure;
        return result;
    }
    result.stretch = studied.stretch;
    result.reason = studied.settling;
    (sense_of(promise) == Sense::at_most ? result.highest_case : result.lowest_case) =
        studied.worst_case;
    if (promise.before && studied.worst >= never) {
        const auto& s = studied.worst_specimen;
        const auto rest = solve_link(task.circuit.circuit, s.values, s.conditions);
        if (rest) {
            result.comes_to = measure(promise_probe(promise, task.circuit), (*rest)[promise.state]);
        }
    }
    if (!task.options.nominal_only) count_drawn(studied.drawn, result);
    return result;
}

// Of the nominal specimen and of the worst ones of the signal's other promises: a search over rates
// takes too many waveforms for a population.
std::expected<PromiseResult, ProofFailure> highest_rate_result(const ProofTask& task,
                                                               const Promise& promise,
                                                               const TimedSubjects& subjects,
                                                               const Study& study) {
    const Link& link = task.link;
    PromiseResult result = stated_promise(link, promise);
    std::vector<SignalBound> bounds;
    std::vector<std::string> names;
    std::vector<Specimen> specimens = {nominal_specimen(task.circuit, task.ranges)};
    for (const auto& [other, item] : subjects.promises) {
        if (!other->signal || !item) continue;
        bounds.push_back({subjects.items[*item].measure, other->at_least, other->at_most});
        names.push_back(other->text);
        if (!task.options.nominal_only) specimens.push_back(study.items[*item].worst_specimen);
    }
    WaveOptions wave;
    wave.stop = task.options.engine.stop;
    std::vector<std::expected<HighestRate, WaveFailure>> rates(specimens.size());
    at_once(specimens.size(), task.options.engine, [&](std::size_t k) {
        rates[k] = highest_rate(task.circuit.circuit, specimens[k], *link.signal, bounds, wave);
    });
    for (std::size_t k = 0; k < specimens.size(); ++k) {
        const auto& found = rates[k];
        if (!found) {
            const auto failure = wave_failure(link, found.error(), "a specimen of the signal");
            if (failure.stopped) return std::unexpected(failure);
            result.lowest = result.highest = std::numeric_limits<double>::quiet_NaN();
            if (k == 0) result.nominal = result.lowest;
            result.reason = failure.message;
            return result;
        }
        const double rate = found->speed / link.signal->bit;
        if (k == 0) result.nominal = result.lowest = result.highest = rate;
        result.highest = std::max(result.highest, rate);
        if (k > 0 && rate >= result.lowest) continue;
        result.lowest = rate;
        result.reason = found->unlimited ? "no end found up to this rate"
                                         : fmt::format("the {} ends it", names[found->limiting]);
    }
    return result;
}

Verdict verdict_of(const Link& link, const Promise& promise, const PromiseResult& result) {
    const auto worst = result.worst();
    if (std::isnan(worst.value)) return Verdict::unknown;
    const Verdict judged = judge(worst.value, worst.bound, worst.sense, promise.reserve);
    const bool settles = judged == Verdict::broken && !result.reason.empty() &&
                         promise.signal != Promise::OfSignal::highest_rate;
    return settles ? Verdict::unknown
                   : with_stretch(judged, result.stretch, link.surroundings.stretch);
}

RatingResult rating_result(const Link& link, const TimedLimit& limit, const Studied& studied) {
    const auto sized = [&](double v) { return limit.magnitude ? std::abs(v) : v; };
    const double temperature = studied.worst_specimen.conditions.temperature;
    RatingResult result{
        .state = limit.where,
        .part = limit.part,
        .limit = limit.limit,
        .dimension = limit.dimension,
        .sense = limit.sense,
        .rated = limit.bound,
        .bound = limit.bound * (limit.derating ? limit.derating->share(temperature) : 1),
        .nominal = sized(studied.nominal),
        .lowest = sized(limit.sense == Sense::at_least ? studied.worst : studied.lowest),
        .highest = sized(limit.sense == Sense::at_most ? studied.worst : studied.highest),
        .worst_case = studied.worst_case,
        .stretch = studied.stretch};
    judge_rating(limit.basis, link.surroundings.reserve, result);
    if (result.verdict == Verdict::broken && !studied.settling.empty()) {
        result.verdict = Verdict::unknown;
        result.reason = studied.settling;
    }
    result.verdict = with_stretch(result.verdict, result.stretch, link.surroundings.stretch);
    return result;
}

std::expected<TimedProof, ProofFailure> judged(const ProofTask& task, const TimedSubjects& subjects,
                                               const Study& study) {
    TimedProof proof{.promises = {},
                     .ratings = {},
                     .not_judged = subjects.not_judged,
                     .strays = std::max(subjects.strays, study.strays),
                     .samples = study.samples,
                     .worst_case_specimens = study.searched};
    for (const auto& [promise, item] : subjects.promises) {
        auto result = item ? measured_result(task, *promise, study.items[*item])
                           : highest_rate_result(task, *promise, subjects, study);
        if (!result) return std::unexpected(result.error());
        result->verdict = verdict_of(task.link, *promise, *result);
        if (std::isnan(result->worst().value)) {
            proof.not_judged.push_back({result->state, result->quantity, result->reason, true});
        }
        proof.promises.push_back(std::move(*result));
    }
    for (const auto& [limit, item] : subjects.limits) {
        const Studied& studied = study.items[item];
        if (studied.failure.empty()) {
            proof.ratings.push_back(rating_result(task.link, limit, studied));
        } else {
            leave_out(limit, studied.failure, proof.not_judged);
        }
    }
    return proof;
}

}  // namespace

std::expected<TimedProof, ProofFailure> prove_in_time(const ProofTask& task,
                                                      const std::vector<StatePoint>& nominal) {
    std::expected<TimedSubjects, ProofFailure> subjects = promises_in_time(task);
    if (task.options.limits_on_the_way) {
        subjects = with_limits(std::move(*subjects), task, nominal);
    }
    if (!subjects) return std::unexpected(subjects.error());
    const auto study = study_in_time(task, subjects->items);
    if (!study) return std::unexpected(study.error());
    return judged(task, *subjects, *study);
}

}  // namespace gapwright
