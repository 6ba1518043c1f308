#include "proof/timed_proof.hpp"

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
#include "proof/promise_probe.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "proof/rating_verdict.hpp"
#include "proof/stated_promise.hpp"
#include "proof/stretch_result.hpp"
#include "proof/timed_limits.hpp"
#include "proof/timed_study.hpp"
#include "proof/timed_subject.hpp"
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

class TimedProver {
  public:
    TimedProver(const Link& link, const LinkCircuit& circuit, const ConditionRanges& ranges,
                const ProofOptions& options)
        : link_(link), circuit_(circuit), ranges_(ranges), options_(options) {}

    std::expected<TimedProof, ProofFailure> run(const std::vector<StatePoint>& nominal) {
        if (auto failed = add_items(nominal)) return std::unexpected(*failed);
        if (!items_.empty()) {
            auto study = study_in_time(link_, circuit_, ranges_, items_, options_);
            if (!study) return std::unexpected(study.error());
            study_ = std::move(*study);
        }
        std::size_t item = 0;
        for (const auto* promise : promises_) {
            const bool rate = promise->signal == Promise::OfSignal::highest_rate;
            auto result = rate ? highest_rate_result(*promise)
                               : measured_result(*promise, study_.items[item++]);
            if (!result) return std::unexpected(result.error());
            judge_promise(*promise, *result);
            result_.promises.push_back(std::move(*result));
        }
        for (const auto& limit : limits_) add_rating(limit, study_.items[item++]);
        result_.strays = std::max(result_.strays, study_.strays);
        result_.samples = study_.samples;
        result_.worst_case_specimens = study_.searched;
        return std::move(result_);
    }

  private:
    // Promises first, in the link's order, but for the highest rate; then limits.
    std::optional<ProofFailure> add_items(const std::vector<StatePoint>& nominal) {
        for (const auto& promise : link_.promises) {
            if (promise.at_rest()) continue;
            promises_.push_back(&promise);
            if (promise.signal == Promise::OfSignal::highest_rate) continue;
            items_.push_back({.measure = timed_measure_of(link_, circuit_, promise),
                              .search = of_eye(promise) ? Search::others : Search::own,
                              .sense = sense_of(promise),
                              .magnitude = promise.signal == Promise::OfSignal::width_error,
                              .limit = limit_of(promise)});
        }
        if (!options_.limits_on_the_way) return std::nullopt;
        std::vector<StudyItem> candidates;
        const auto limits = timed_limits(link_, circuit_, nominal);
        for (const auto& limit : limits) {
            candidates.push_back(
                {.measure = limit.measure,
                 .search = Search::guided,
                 .sense = limit.sense,
                 .magnitude = limit.magnitude,
                 .derating = limit.derating,
                 .limit = limit.basis.assumed ? std::optional<double>() : limit.bound});
        }
        const auto peaks = nominal_in_time(link_, circuit_, ranges_, candidates, options_.engine);
        if (!peaks) return peaks.error();
        result_.strays = peaks->strays;
        for (std::size_t k = 0; k < limits.size(); ++k) {
            if (!peaks->failures[k].empty()) {
                leave_out(limits[k], peaks->failures[k]);
                continue;
            }
            if (!matters(limits[k], peaks->values[k])) continue;
            limits_.push_back(limits[k]);
            items_.push_back(candidates[k]);
        }
        return std::nullopt;
    }

    // A limit that the way between two states comes nearer to than either of them does, and nearer
    // than to half of it; and whatever is asked for in a disturbance.
    static bool matters(const TimedLimit& limit, double peak) {
        constexpr double noticed = 0.02;  // of the bound
        constexpr double near = 0.5;
        const double size = std::abs(peak);
        return limit.always ||
               (size > limit.at_rest + noticed * limit.bound && size > near * limit.bound);
    }

    // What the whole way cannot be judged by takes no promise at rest along. One entry for all
    // limits of a part on that way.
    void leave_out(const TimedLimit& limit, const std::string& reason) {
        const std::string what = fmt::format("the limits of {} on the way", limit.part);
        const bool told = std::ranges::any_of(result_.not_judged, [&](const NotJudged& other) {
            return other.state == limit.where && other.what == what;
        });
        if (!told) result_.not_judged.push_back({limit.where, what, reason, false});
    }

    void judge_promise(const Promise& promise, PromiseResult& result) {
        const auto worst = result.worst();
        if (std::isnan(worst.value)) {
            result.verdict = Verdict::unknown;
            result_.not_judged.push_back({result.state, result.quantity, result.reason, true});
        } else {
            const Verdict judged = judge(worst.value, worst.bound, worst.sense, promise.reserve);
            const bool settles = judged == Verdict::broken && !result.reason.empty() &&
                                 promise.signal != Promise::OfSignal::highest_rate;
            result.verdict = settles
                                 ? Verdict::unknown
                                 : with_stretch(judged, result.stretch, link_.surroundings.stretch);
        }
    }

    std::expected<PromiseResult, ProofFailure> measured_result(const Promise& promise,
                                                               const Studied& studied) const {
        PromiseResult result = stated_promise(link_, promise);
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
            const auto rest = solve_link(circuit_.circuit, s.values, s.conditions);
            if (rest) {
                result.comes_to = measure(promise_probe(promise, circuit_), (*rest)[promise.state]);
            }
        }
        if (!options_.nominal_only) count_drawn(studied.drawn, result);
        return result;
    }

    // Of the nominal specimen and of the worst ones of the signal's other promises: a search over
    // rates takes too many waveforms for a population.
    std::expected<PromiseResult, ProofFailure> highest_rate_result(const Promise& promise) const {
        PromiseResult result = stated_promise(link_, promise);
        std::vector<SignalBound> bounds;
        std::vector<std::string> names;
        std::vector<Specimen> specimens = {nominal_specimen(circuit_, ranges_)};
        std::size_t item = 0;
        for (const auto* other : promises_) {
            if (other->signal == Promise::OfSignal::highest_rate) continue;
            if (other->signal) {
                bounds.push_back({items_[item].measure, other->at_least, other->at_most});
                names.push_back(other->text);
            }
            if (other->signal && !options_.nominal_only) {
                specimens.push_back(study_.items[item].worst_specimen);
            }
            ++item;
        }
        WaveOptions wave;
        wave.stop = options_.engine.stop;
        std::vector<std::expected<HighestRate, WaveFailure>> rates(specimens.size());
        at_once(specimens.size(), options_.engine, [&](std::size_t k) {
            rates[k] = highest_rate(circuit_.circuit, specimens[k], *link_.signal, bounds, wave);
        });
        for (std::size_t k = 0; k < specimens.size(); ++k) {
            const auto& found = rates[k];
            if (!found) {
                const auto failure = wave_failure(link_, found.error(), "a specimen of the signal");
                if (failure.stopped) return std::unexpected(failure);
                result.lowest = result.highest = std::numeric_limits<double>::quiet_NaN();
                if (k == 0) result.nominal = result.lowest;
                result.reason = failure.message;
                return result;
            }
            const double rate = found->speed / link_.signal->bit;
            if (k == 0) result.nominal = result.lowest = result.highest = rate;
            result.highest = std::max(result.highest, rate);
            if (k > 0 && rate >= result.lowest) continue;
            result.lowest = rate;
            result.reason = found->unlimited
                                ? "no end found up to this rate"
                                : fmt::format("the {} ends it", names[found->limiting]);
        }
        return result;
    }

    void add_rating(const TimedLimit& limit, const Studied& studied) {
        if (!studied.failure.empty()) {
            leave_out(limit, studied.failure);
            return;
        }
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
        judge_rating(limit.basis, link_.surroundings.reserve, result);
        if (result.verdict == Verdict::broken && !studied.settling.empty()) {
            result.verdict = Verdict::unknown;
            result.reason = studied.settling;
        }
        result.verdict = with_stretch(result.verdict, result.stretch, link_.surroundings.stretch);
        result_.ratings.push_back(std::move(result));
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const ConditionRanges& ranges_;
    const ProofOptions& options_;
    std::vector<const Promise*> promises_;
    std::vector<TimedLimit> limits_;
    std::vector<StudyItem> items_;
    Study study_;
    TimedProof result_;
};

}  // namespace

std::expected<TimedProof, ProofFailure> prove_in_time(const Link& link, const LinkCircuit& circuit,
                                                      const ConditionRanges& ranges,
                                                      const std::vector<StatePoint>& nominal,
                                                      const ProofOptions& options) {
    return TimedProver(link, circuit, ranges, options).run(nominal);
}

}  // namespace gapwright
