#include "proof/timed_proof.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "proof/case_of.hpp"
#include "proof/promise_probe.hpp"
#include "proof/timed_limits.hpp"
#include "time/signal_rate.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr std::size_t bars = 24;  // of a histogram of a few hundred values
constexpr std::size_t first_values = 100;

// A promise with the measure that it is about, or none: the highest rate.
struct TimedPromise {
    const Promise* promise;
    std::optional<std::size_t> measure;
};

class TimedProver {
  public:
    TimedProver(const Link& link, const LinkCircuit& circuit, const ConditionRanges& ranges,
                const std::vector<StatePoint>& nominal, const ProofOptions& options)
        : link_(link), circuit_(circuit), ranges_(ranges), nominal_(nominal), options_(options) {}

    std::expected<TimedProof, ProofFailure> run() {
        add_measures();
        if (promises_.empty() && limits_.empty()) return std::move(result_);
        wave_.stop = options_.engine.stop;
        const auto values =
            timed_values(circuit_.circuit, nominal_specimen(circuit_, ranges_), measures_, wave_);
        if (!values) return std::unexpected(failure(values.error(), "the nominal link"));
        nominal_values_ = *values;
        keep_limits_passed_on_the_way();
        if (options_.nominal_only) {
            nominal_extremes();
        } else if (auto failed = extremes_and_population()) {
            return std::unexpected(*failed);
        }
        for (const auto& promise : promises_) {
            if (auto failed = conclude(promise)) return std::unexpected(*failed);
        }
        for (std::size_t k = 0; k < limits_.size(); ++k) conclude(k);
        return std::move(result_);
    }

  private:
    static ProofFailure failure(const WaveFailure& error, std::string_view which) {
        if (error.stopped) return {"stopped before the waveforms were complete", true};
        return {fmt::format("no waveform was found for {}: {} {} after the change", which,
                            error.message, engineering_short(error.at, Dimension::time))};
    }

    std::size_t add(const TimedMeasure& measure) {
        const auto known = std::ranges::find(measures_, measure);
        if (known != measures_.end()) {
            return static_cast<std::size_t>(known - measures_.begin());
        }
        measures_.push_back(measure);
        return measures_.size() - 1;
    }

    void add_measures() {
        for (const auto& promise : link_.promises) {
            if (promise.at_rest()) continue;
            const bool rate = promise.signal == Promise::OfSignal::highest_rate;
            promises_.push_back({&promise, {}});
            if (!rate) promises_.back().measure = add(timed_measure_of(link_, circuit_, promise));
        }
        for (auto& limit : timed_limits(link_, circuit_, nominal_)) {
            limits_.push_back({std::move(limit), 0});
            limits_.back().measure = add(limits_.back().limit.measure);
        }
    }

    // A limit that no state comes as near to as the way between them does; and every logic input's
    // level in a disturbance.
    void keep_limits_passed_on_the_way() {
        constexpr double noticed = 0.02;  // of the bound
        std::erase_if(limits_, [&](const Limited& l) {
            const double peak = std::abs(nominal_values_[l.measure]);
            return !l.limit.always && peak <= l.limit.at_rest + noticed * l.limit.bound;
        });
    }

    std::vector<Target> targets() const {
        std::vector<Target> targets;
        for (const auto& promise : promises_) {
            if (!promise.measure) continue;
            for (const Sense sense : {Sense::at_least, Sense::at_most}) {
                targets.push_back({.measure = *promise.measure, .sense = sense, .derating = {}});
            }
        }
        for (const auto& l : limits_) {
            targets.push_back({.measure = l.measure,
                               .sense = l.limit.sense,
                               .magnitude = l.limit.magnitude,
                               .derating = l.limit.derating});
        }
        return targets;
    }

    void nominal_extremes() {
        for (const auto& target : targets()) {
            worst_.extremes.push_back({.value = nominal_values_[target.measure],
                                       .specimen = nominal_specimen(circuit_, ranges_),
                                       .effects = {}});
        }
    }

    std::optional<ProofFailure> extremes_and_population() {
        const Measurer measurer = timed_measurer(circuit_.circuit, measures_, wave_);
        EngineOptions engine = options_.engine;
        engine.progress = {};
        const std::size_t count = std::min(options_.timed_samples, options_.samples);
        drawn_ = measurer.run(population_source(circuit_, ranges_, options_.seed, count), engine);
        if (auto failed = trouble(drawn_.outcome)) return failed;
        result_.samples = count;
        worst_ = find_worst_cases(circuit_, ranges_, measurer, targets(), worst_drawn(), engine,
                                  Effort::sparing);
        if (auto failed = trouble(worst_.outcome)) return failed;
        result_.worst_case_specimens = worst_.outcome.solved;
        return std::nullopt;
    }

    static std::optional<ProofFailure> trouble(const EngineOutcome& outcome) {
        if (outcome.stopped) {
            return ProofFailure{"stopped before the waveforms were complete", true};
        }
        if (outcome.unsettled) {
            return ProofFailure{
                fmt::format("no waveform was found for {} of the specimens", outcome.unsettled)};
        }
        return std::nullopt;
    }

    // For each target the worst specimen drawn, each once.
    std::vector<Specimen> worst_drawn() const {
        std::set<std::size_t> numbers;
        for (const auto& target : targets()) {
            std::size_t worst = 0;
            for (std::size_t k = 1; k < result_.samples; ++k) {
                const auto bad = [&](std::size_t s) {
                    return target.badness(drawn_.at(s, target.measure), 0);
                };
                if (bad(k) > bad(worst)) worst = k;
            }
            if (result_.samples > 0) numbers.insert(worst);
        }
        std::vector<Specimen> specimens;
        for (const std::size_t k : numbers) {
            specimens.push_back(draw_specimen(circuit_, ranges_, options_.seed, k));
        }
        return specimens;
    }

    PromiseResult described(const Promise& promise) const {
        PromiseResult result;
        result.timed = true;
        result.quantity = promise.text;
        result.at_least = promise.at_least;
        result.at_most = promise.at_most;
        if (promise.before) {
            result.state = fmt::format("{} > {}", link_.states[*promise.before].name,
                                       link_.states[promise.state].name);
            result.reaches_dimension = promise_dimension(promise);
            result.quantity +=
                " reaches " + engineering_short(*promise.reaches, result.reaches_dimension);
            result.dimension = Dimension::time;
            result.at_most = promise.within;
            return result;
        }
        result.state = "signal";
        if (promise.signal == Promise::OfSignal::width_error) {
            result.dimension = Dimension::ratio;
            result.either_sign = true;
        } else if (promise.signal == Promise::OfSignal::highest_rate) {
            result.dimension = Dimension::signalling_rate;
        } else {
            result.dimension = promise_dimension(promise);
        }
        return result;
    }

    std::optional<ProofFailure> conclude(const TimedPromise& timed) {
        PromiseResult result = described(*timed.promise);
        if (timed.measure) {
            fill(result, *timed.measure);
            next_target_ += 2;
        } else if (auto failed = find_highest_rate(result)) {
            return failed;
        }
        result.verdict = Verdict::kept;
        const auto worst = result.worst();
        result.verdict = judge(worst.value, worst.bound, worst.sense, timed.promise->reserve);
        result_.promises.push_back(std::move(result));
        return std::nullopt;
    }

    void fill(PromiseResult& result, std::size_t measure) {
        result.nominal = nominal_values_[measure];
        const Extreme& low = worst_.extremes[next_target_];
        const Extreme& high = worst_.extremes[next_target_ + 1];
        result.lowest = low.value;
        result.highest = high.value;
        if (result.dimension == Dimension::time && result.highest >= never) {
            comes_to(result, measure, high.specimen);
        }
        if (options_.nominal_only) return;
        result.lowest_case = case_of(circuit_, worst_, next_target_);
        result.highest_case = case_of(circuit_, worst_, next_target_ + 1);
        result.samples = result_.samples;
        std::vector<double> values;
        for (std::size_t k = 0; k < result_.samples; ++k) {
            const double value = drawn_.at(k, measure);
            values.push_back(value);
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
        if (!(least < most) || most >= never) return;
        result.histogram = {.low = least, .high = most, .counts = std::vector<std::uint64_t>(bars)};
        for (const double value : values) result.histogram.add(value);
    }

    // The value at rest of the specimen that never gets there.
    void comes_to(PromiseResult& result, std::size_t measure, const Specimen& specimen) const {
        const auto& m = measures_[measure];
        const auto rest = solve_link(circuit_.circuit, specimen.values, specimen.conditions);
        if (rest) {
            result.comes_to =
                gapwright::measure(m.probe, (*rest)[to_index(m.schedule.changes.back().to)]);
        }
    }

    // Of the nominal specimen and of the worst ones of the signal's other promises: a search over
    // rates takes too many waveforms for a population.
    std::optional<ProofFailure> find_highest_rate(PromiseResult& result) {
        std::vector<SignalBound> bounds;
        std::vector<std::size_t> numbers;
        std::vector<Specimen> specimens = {nominal_specimen(circuit_, ranges_)};
        std::size_t target = 0;
        for (const auto& other : promises_) {
            if (!other.measure) continue;
            if (other.promise->signal) {
                bounds.push_back(
                    {measures_[*other.measure], other.promise->at_least, other.promise->at_most});
                numbers.push_back(result_.promises.size());
                for (const std::size_t t : {target, target + 1}) {
                    specimens.push_back(worst_.extremes[t].specimen);
                }
                names_.push_back(other.promise->text);
            }
            target += 2;
        }
        double lowest = 0;
        for (std::size_t k = 0; k < specimens.size(); ++k) {
            const auto found =
                highest_rate(circuit_.circuit, specimens[k], *link_.signal, bounds, wave_);
            if (!found) return failure(found.error(), "a specimen of the signal's worst");
            const double rate = found->speed / link_.signal->bit;
            if (k == 0) result.nominal = result.highest = lowest = rate;
            result.highest = std::max(result.highest, rate);
            if (k > 0 && rate >= lowest) continue;
            lowest = rate;
            result.reason = found->unlimited
                                ? "no limit found up to this"
                                : fmt::format("the {} ends it", names_[found->limiting]);
        }
        result.lowest = lowest;
        return std::nullopt;
    }

    void conclude(std::size_t k) {
        const TimedLimit& limit = limits_[k].limit;
        const std::size_t target = next_target_ + k;
        const Extreme& extreme = worst_.extremes[target];
        const auto sized = [&](double v) { return limit.magnitude ? std::abs(v) : v; };
        const double temperature = extreme.specimen.conditions.temperature;
        RatingResult result{
            .state = limit.where,
            .part = limit.part,
            .limit = limit.limit,
            .dimension = limit.dimension,
            .sense = limit.sense,
            .rated = limit.bound,
            .bound = limit.bound * (limit.derating ? limit.derating->share(temperature) : 1),
            .nominal = sized(nominal_values_[limits_[k].measure]),
            .lowest = sized(extreme.value),
            .highest = sized(extreme.value),
            .worst_case = {}};
        if (!options_.nominal_only) result.worst_case = case_of(circuit_, worst_, target);
        result.verdict =
            judge(result.worst(), result.bound, limit.sense, link_.surroundings.reserve);
        result_.ratings.push_back(std::move(result));
    }

    struct Limited {
        TimedLimit limit;
        std::size_t measure;
    };

    const Link& link_;
    const LinkCircuit& circuit_;
    const ConditionRanges& ranges_;
    const std::vector<StatePoint>& nominal_;
    const ProofOptions& options_;
    WaveOptions wave_;
    std::vector<TimedMeasure> measures_;
    std::vector<TimedPromise> promises_;
    std::vector<Limited> limits_;
    std::vector<double> nominal_values_;
    Measurements drawn_;
    WorstCases worst_;
    std::vector<std::string> names_;
    std::size_t next_target_ = 0;
    TimedProof result_;
};

}  // namespace

TimedMeasure timed_measure_of(const Link& link, const LinkCircuit& circuit,
                              const Promise& promise) {
    TimedMeasure measure{.reading = TimedMeasure::Reading::reach,
                         .schedule = {},
                         .probe = promise_probe(promise, circuit),
                         .level = *promise.reaches};
    if (promise.before) {
        measure.schedule = {.from = static_cast<StateIndex>(*promise.before),
                            .changes = {{0, static_cast<StateIndex>(promise.state)}}};
        return measure;
    }
    measure.bit = link.signal->bit;
    if (promise.signal == Promise::OfSignal::eye) {
        measure.reading = TimedMeasure::Reading::eye;
        measure.schedule = signal_pattern(*link.signal);
    } else {
        measure.reading = TimedMeasure::Reading::width_error;
        measure.schedule = signal_train(*link.signal);
    }
    return measure;
}

std::expected<TimedProof, ProofFailure> prove_in_time(const Link& link, const LinkCircuit& circuit,
                                                      const ConditionRanges& ranges,
                                                      const std::vector<StatePoint>& nominal,
                                                      const ProofOptions& options) {
    return TimedProver(link, circuit, ranges, nominal, options).run();
}

}  // namespace gapwright
