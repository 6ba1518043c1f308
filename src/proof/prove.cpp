#include "proof/prove.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <initializer_list>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "population/survey.hpp"
#include "proof/asked_bounds.hpp"
#include "proof/assumed_figures.hpp"
#include "proof/case_of.hpp"
#include "proof/cautions.hpp"
#include "proof/emitter_hours.hpp"
#include "proof/influence.hpp"
#include "proof/promise_probe.hpp"
#include "proof/proof.hpp"
#include "proof/rating_verdict.hpp"
#include "proof/ratings.hpp"
#include "proof/search_space.hpp"
#include "proof/shown.hpp"
#include "proof/stated_promise.hpp"
#include "proof/stretch.hpp"
#include "proof/stretch_result.hpp"
#include "proof/timed_proof.hpp"
#include "proof/verdict.hpp"
#include "proof/worked_steps.hpp"
#include "proof/worst_case.hpp"
#include "units/quantity.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

class Prover {
  public:
    Prover(const Link& link, const LinkCircuit& circuit, const ProofOptions& options)
        : link_(link), circuit_(circuit), options_(options), ranges_(condition_ranges(link)) {
        if (options.temperature) ranges_.temperature = exactly(*options.temperature);
    }

    std::expected<Proof, ProofFailure> run() {
        const Specimen specimen = nominal_specimen(circuit_, ranges_);
        const auto solved = solve_link(circuit_.circuit, specimen.values, specimen.conditions);
        if (!solved) return std::unexpected(failure(solved.error(), "the nominal link"));
        nominal_ = *solved;
        nominal_temperature_ = specimen.conditions.temperature;
        add_nominal();
        add_targets();
        if (options_.nominal_only) {
            nominal_extremes();
        } else if (auto failed = extremes_and_population()) {
            return std::unexpected(*failed);
        }
        ProofOptions timed_options = options_;
        if (proof_.samples < proof_.asked) {  // stopped: what is left is done, where that is soon
            timed_options.engine.stop = {};
            timed_options.timed_samples =
                std::min(timed_options.timed_samples, ProofOptions{}.timed_samples);
        }
        auto timed = prove_in_time(link_, circuit_, ranges_, nominal_, timed_options);
        if (!timed) return std::unexpected(timed.error());
        timed_ = std::move(*timed);
        conclude();
        return std::move(proof_);
    }

  private:
    ProofFailure failure(const LinkNotSettled& error, std::string_view which) const {
        const auto& where = error.where;
        return {fmt::format(
            "no operating point was found for {} in state {}: the currents at the {} side's node "
            "{} would not balance (off by {:.3g} A)",
            which, link_.states[to_index(error.state)].name, side_name(where.side),
            node_description(link_.side(where.side), where.node), where.unbalanced)};
    }

    void add_nominal() {
        proof_.nominal_only = options_.nominal_only;
        proof_.seed = options_.seed;
        proof_.states = shown_states(link_, circuit_, nominal_);
        proof_.levels = levels_of(link_, circuit_, nominal_);
        proof_.steps = worked_steps(link_, circuit_, nominal_);
        proof_.cautions = cautions_of(link_, circuit_, nominal_);
        proof_.emitters = emitter_hours(link_, circuit_, ranges_, nominal_);
    }

    std::size_t add_measure(std::size_t state, const Probe& probe) {
        const Measure measure_of{static_cast<StateIndex>(state), probe};
        const auto found = std::ranges::find(measures_, measure_of);
        if (found == measures_.end()) {
            measures_.push_back(measure_of);
            return measures_.size() - 1;
        }
        return static_cast<std::size_t>(found - measures_.begin());
    }

    // A promise at rest looks for its lowest and its highest value, a rating for its worst (a level
    // for both). Targets stand in the order of promises, two each, then ratings, two each.
    void add_targets() {
        for (const auto& promise : link_.promises) {
            if (!promise.at_rest()) continue;
            resting_.push_back(&promise);
            const std::size_t m = add_measure(promise.state, promise_probe(promise, circuit_));
            const std::size_t own = targets_.size();
            for (const Sense sense : {Sense::at_least, Sense::at_most}) {
                targets_.push_back({.measure = m, .sense = sense, .derating = {}, .kin = own});
            }
        }
        ratings_ = ratings_of(link_, circuit_);
        const auto levels = level_ratings(link_, circuit_, nominal_);
        ratings_.insert(ratings_.end(), levels.begin(), levels.end());
        std::map<std::tuple<std::size_t, bool, Key>, std::size_t> kin;
        for (const auto& rating : ratings_) {
            const std::size_t m = add_measure(rating.state, rating.probe);
            const auto limit = std::tuple(rating.part, rating.receiver, rating.limit);
            const auto own = kin.try_emplace(limit, targets_.size()).first->second;
            for (const Sense sense : {Sense::at_least, Sense::at_most}) {
                targets_.push_back(
                    {.measure = m,
                     .sense = sense,
                     .magnitude = rating.magnitude,
                     .derating = sense == Sense::at_most ? rating.derating : std::nullopt,
                     .decides = sense == rating.sense,
                     .kin = own});
            }
        }
    }

    // What pictures show a band of, measured besides; no target looks at it.
    void add_shown() {
        for (std::size_t s = 0; s < nominal_.size(); ++s) {
            for (const auto& shown : {shown_currents(link_, circuit_), shown_voltages(link_)}) {
                for (const auto& one : shown) shown_.push_back(add_measure(s, one.probe));
            }
        }
    }

    void take_bands() {
        auto next = shown_.begin();
        for (auto& state : proof_.states) {
            for (std::size_t k = 0; k < state.currents.size(); ++k) {
                state.current_bands.push_back(band_of(*next++));
            }
            for (std::size_t k = 0; k < state.voltages.size(); ++k) {
                state.voltage_bands.push_back(band_of(*next++));
            }
        }
    }

    Band band_of(std::size_t measure_index) const {
        const Extent& drawn = population_.extents[measure_index];
        return {std::min(worst_.lowest[measure_index], drawn.lowest),
                std::max(worst_.highest[measure_index], drawn.highest)};
    }

    double nominal_value(std::size_t measure_index) const {
        const Measure& m = measures_[measure_index];
        return measure(m.probe, nominal_[to_index(m.state)]);
    }

    void nominal_extremes() {
        worst_.coordinates.clear();
        for (const auto& target : targets_) {
            worst_.extremes.push_back({.value = nominal_value(target.measure),
                                       .specimen = nominal_specimen(circuit_, ranges_),
                                       .point = {},
                                       .effects = {}});
        }
    }

    std::optional<ProofFailure> extremes_and_population() {
        add_shown();
        const Engine engine(circuit_.circuit, measures_, nominal_specimen(circuit_, ranges_),
                            figure_ranges(circuit_, ranges_));
        std::vector<Watch> watches;
        for (std::size_t p = 0; p < resting_.size(); ++p) {
            watches.push_back({.measure = targets_[2 * p].measure,
                               .at_least = resting_[p]->at_least,
                               .at_most = resting_[p]->at_most});
        }
        population_ =
            survey(engine, population_source(circuit_, ranges_, options_.seed, options_.samples),
                   watches, options_.engine);
        // Stopped by the user: what there is says what it says.
        const bool some = population_.outcome.solved > 0;
        if (population_.outcome.stopped && some) population_.outcome.stopped = false;
        if (auto failed = trouble(population_.outcome, "of those drawn")) return failed;
        proof_.asked = options_.samples;
        proof_.samples = population_.specimens;
        EngineOptions search = options_.engine;
        search.progress = {};
        if (proof_.samples < proof_.asked) search.stop = {};
        laborious_ = 10 * population_.outcome.by_single_points > population_.specimens;
        worst_ = find_worst_cases(circuit_, ranges_, measurer_of(engine), targets_, worst_drawn(),
                                  search, laborious_ ? Effort::plain : Effort::thorough);
        if (auto failed = trouble(worst_.outcome, "of the search for the worst")) return failed;
        take_bands();
        proof_.worst_case_specimens = worst_.outcome.solved;
        const auto asked = asked_bounds();
        const Measurer measurer = measurer_of(engine);
        find_settling(asked, measurer, search);
        if (options_.stretch) {
            find_stretch(nearest_of_each_kin(asked, targets_, worst_), measurer, search);
        }
        return std::nullopt;
    }

    std::vector<AskedBound> asked_bounds() const {
        std::vector<AskedBound> bounds;
        const auto add = [&](std::size_t target, double limit, double nominal_limit) {
            const double sign = targets_[target].sense == Sense::at_least ? -1 : 1;
            bounds.push_back({target, sign * limit, sign * nominal_limit});
        };
        for (std::size_t p = 0; p < resting_.size(); ++p) {
            const Promise& promise = *resting_[p];
            if (promise.at_least) add(2 * p, *promise.at_least, *promise.at_least);
            if (promise.at_most) add(2 * p + 1, *promise.at_most, *promise.at_most);
        }
        for (std::size_t r = 0; r < ratings_.size(); ++r) {
            if (ratings_[r].basis.assumed) continue;
            add(deciding_target(r), ratings_[r].rated, ratings_[r].rated_nominal);
        }
        return bounds;
    }

    void find_stretch(const std::vector<AskedBound>& asked, const Measurer& measurer,
                      const EngineOptions& engine) {
        std::vector<StretchBound> bounds;
        for (const auto& bound : asked) {
            bounds.push_back({.target = targets_[bound.target],
                              .limit = bound.limit,
                              .nominal_limit = bound.nominal_limit,
                              .worst = worst_.extremes[bound.target].point,
                              .holds = holds(bound, targets_, worst_)});
            stretched_of_.push_back(bound.target);
        }
        const SearchSpace space(circuit_, ranges_);
        for (const auto& one : find_stretches(
                 space, measurer, bounds,
                 laborious_ ? StretchSearch::sparing : StretchSearch::thorough, engine)) {
            stretches_.push_back(stretch_of(circuit_, space, one));
        }
    }

    // Of what breaks, whether it hangs on what is only assumed.
    void find_settling(const std::vector<AskedBound>& asked, const Measurer& measurer,
                       const EngineOptions& engine) {
        settling_.resize(targets_.size());
        for (const auto& bound : asked) {
            if (holds(bound, targets_, worst_)) continue;
            const Extreme& extreme = worst_.extremes[bound.target];
            settling_[bound.target] =
                settling_figures(circuit_, ranges_, measurer,
                                 {.target = targets_[bound.target],
                                  .limit = bound.limit,
                                  .worst = extreme.point,
                                  .effects = extreme.effects},
                                 laborious_ ? Effort::plain : Effort::thorough, engine);
        }
    }

    // Turns a broken verdict on a target into an unknown one where it hangs on an assumption.
    void settle(std::size_t target, Verdict& verdict, std::string& reason) const {
        if (verdict != Verdict::broken || settling_.empty() || settling_[target].empty()) return;
        verdict = Verdict::unknown;
        reason += fmt::format("{}{}", reason.empty() ? "" : "; ", settling_[target]);
    }

    std::size_t deciding_target(std::size_t rating) const {
        return 2 * (resting_.size() + rating) + (ratings_[rating].sense == Sense::at_least ? 0 : 1);
    }

    // The lesser of those of some targets; none where none was looked for.
    std::optional<Stretch> least_stretch(std::initializer_list<std::size_t> targets) const {
        std::optional<Stretch> least;
        for (std::size_t k = 0; k < stretches_.size(); ++k) {
            if (std::ranges::find(targets, stretched_of_[k]) == targets.end()) continue;
            if (!least || stretches_[k].factor < least->factor) least = stretches_[k];
        }
        return least;
    }

    // Specimens without an answer take no other along: they are told, and nobody knows of them
    // whether they keep what is promised.
    std::optional<ProofFailure> trouble(const EngineOutcome& outcome, std::string_view which) {
        if (outcome.stopped) return ProofFailure{"stopped before the proof was complete", true};
        if (outcome.unsettled == 0) return std::nullopt;
        const auto& first = *outcome.first_unsettled;
        proof_.not_judged.push_back(
            {.state = link_.states[to_index(first.state)].name,
             .what = fmt::format("{} of {} specimens {}", outcome.unsettled, outcome.solved, which),
             .reason = failure(first, "the first of them").message,
             .promised = false});
        return std::nullopt;
    }

    // For each target the worst specimen of the population, each specimen once. (Derating only
    // shifts which of two hot specimens is worse: the search sees to it.)
    std::vector<Specimen> worst_drawn() const {
        if (options_.samples == 0) return {};
        std::set<std::size_t> numbers;
        for (const auto& target : targets_) {
            const Extent& extent = population_.extents[target.measure];
            const bool highest = target.badness(extent.highest, nominal_temperature_) >=
                                 target.badness(extent.lowest, nominal_temperature_);
            numbers.insert(highest ? extent.highest_specimen : extent.lowest_specimen);
        }
        std::vector<Specimen> specimens;
        for (const std::size_t k : numbers) {
            specimens.push_back(draw_specimen(circuit_, ranges_, options_.seed, k));
        }
        return specimens;
    }

    void conclude() {
        proof_.verdict = proof_.not_judged.empty() ? Verdict::kept : Verdict::unknown;
        for (std::size_t p = 0; p < resting_.size(); ++p) add_promise(p);
        for (std::size_t r = 0; r < ratings_.size(); ++r) add_rating(r);
        if (!options_.nominal_only) add_influences();
        add_timed();
        proof_.stretch = link_stretch(proof_);
    }

    // Promises come in the link's order, whoever judged them.
    void add_timed() {
        std::vector<PromiseResult> all;
        auto resting = proof_.promises.begin();
        auto timed = timed_.promises.begin();
        for (const auto& promise : link_.promises) {
            all.push_back(std::move(promise.at_rest() ? *resting++ : *timed++));
        }
        proof_.promises = std::move(all);
        for (const auto& promise : timed_.promises) {
            proof_.verdict = worse(proof_.verdict, promise.verdict);
        }
        for (auto& rating : timed_.ratings) {
            proof_.verdict = worse(proof_.verdict, rating.verdict);
            proof_.ratings.push_back(std::move(rating));
        }
        std::ranges::move(timed_.not_judged, std::back_inserter(proof_.not_judged));
        if (timed_.strays == Strays::all) proof_.cautions.push_back(strays_assumed());
        proof_.timed_samples = timed_.samples;
        proof_.worst_case_specimens += timed_.worst_case_specimens;
    }

    // Of each promise, at the worst case that counts for it.
    void add_influences() {
        std::vector<Influenced> quantities;
        for (std::size_t p = 0; p < proof_.promises.size(); ++p) {
            const bool low = proof_.promises[p].worst().sense == Sense::at_least;
            const std::size_t target = 2 * p + (low ? 0 : 1);
            quantities.push_back(
                {measures_[targets_[target].measure], worst_.extremes[target].specimen});
        }
        const auto found = influences(circuit_, ranges_, quantities);
        for (std::size_t p = 0; p < proof_.promises.size(); ++p) {
            proof_.promises[p].influences = found[p];
        }
    }

    void add_promise(std::size_t p) {
        const Promise& promise = *resting_[p];
        const std::size_t low = 2 * p;
        PromiseResult result = stated_promise(link_, promise);
        result.nominal = nominal_value(targets_[low].measure);
        result.lowest = worst_.extremes[low].value;
        result.highest = worst_.extremes[low + 1].value;
        if (!options_.nominal_only) {
            result.lowest_case = case_of(circuit_, worst_, low);
            result.highest_case = case_of(circuit_, worst_, low + 1);
            count_kept(p, result);
            result.stretch = least_stretch({low, low + 1});
        }
        Verdict verdict = Verdict::kept;
        const auto judge_side = [&](double value, double bound, Sense sense, std::size_t target) {
            Verdict side = judge(value, bound, sense, promise.reserve);
            settle(target, side, result.reason);
            verdict = worse(verdict, side);
        };
        if (promise.at_least) judge_side(result.lowest, *promise.at_least, Sense::at_least, low);
        if (promise.at_most) judge_side(result.highest, *promise.at_most, Sense::at_most, low + 1);
        result.verdict = with_stretch(verdict, result.stretch, link_.surroundings.stretch);
        proof_.verdict = worse(proof_.verdict, result.verdict);
        proof_.promises.push_back(std::move(result));
    }

    void count_kept(std::size_t p, PromiseResult& result) const {
        const Watched& watched = population_.watched[p];
        result.samples = population_.specimens;
        result.kept = watched.kept;
        result.histogram = watched.histogram;
        result.first_drawn = watched.first;
        result.share_kept_low95 = wilson_low95(result.kept, result.samples);
    }

    void add_rating(std::size_t r) {
        const Rating& rating = ratings_[r];
        const std::size_t low = 2 * (resting_.size() + r);
        const std::size_t worst = deciding_target(r);
        const auto sized = [&](double v) {
            if (rating.magnitude) return std::abs(v);
            return rating.one_way ? std::max(0.0, v) : v;
        };
        const double temperature = worst_.extremes[worst].specimen.conditions.temperature;
        RatingResult result{
            .state = link_.states[rating.state].name,
            .part = link_.parts[rating.part].name + (rating.receiver ? ".receiver" : ""),
            .limit = rating.limit,
            .dimension = rating.dimension,
            .sense = rating.sense,
            .rated = rating.rated,
            .bound = rating.rated * (rating.derating ? rating.derating->share(temperature) : 1),
            .nominal = sized(nominal_value(targets_[low].measure)),
            .lowest = sized(worst_.extremes[low].value),
            .highest = sized(worst_.extremes[low + 1].value),
            .worst_case = {}};
        if (!options_.nominal_only) result.worst_case = case_of(circuit_, worst_, worst);
        result.stretch = least_stretch({worst});
        judge_rating(rating.basis, link_.surroundings.reserve, result);
        settle(worst, result.verdict, result.reason);
        result.verdict = with_stretch(result.verdict, result.stretch, link_.surroundings.stretch);
        proof_.verdict = worse(proof_.verdict, result.verdict);
        proof_.ratings.push_back(std::move(result));
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const ProofOptions& options_;
    ConditionRanges ranges_;
    std::vector<StatePoint> nominal_;
    double nominal_temperature_ = 0;
    std::vector<const Promise*> resting_;  // promises at rest
    TimedProof timed_;
    std::vector<Measure> measures_;
    std::vector<Target> targets_;
    std::vector<Rating> ratings_;
    WorstCases worst_;
    Survey population_;
    // Where many specimens do not settle in lanes, each takes a thousand times as long, and fewer
    // are looked at.
    bool laborious_ = false;
    std::vector<std::string> settling_;      // by target: what would settle it; mostly empty
    std::vector<Stretch> stretches_;         // by bound
    std::vector<std::size_t> stretched_of_;  // the bound's target
    std::vector<std::size_t> shown_;         // measures of what pictures show, state by state
    Proof proof_;
};

}  // namespace

PromiseResult::Worst PromiseResult::worst() const {
    const Worst low{at_least.value_or(0), lowest, Sense::at_least, &lowest_case};
    const bool below = either_sign && std::abs(lowest) > std::abs(highest);
    const Worst high{at_most.value_or(0),
                     either_sign ? std::max(std::abs(lowest), std::abs(highest)) : highest,
                     Sense::at_most, below ? &lowest_case : &highest_case};
    if (!at_most) return low;
    if (!at_least) return high;
    return reserve_left(lowest, *at_least, Sense::at_least) <
                   reserve_left(highest, *at_most, Sense::at_most)
               ? low
               : high;
}

std::expected<Proof, ProofFailure> prove(const Link& link, const LinkCircuit& circuit,
                                         const ProofOptions& options) {
    return Prover(link, circuit, options).run();
}

}  // namespace gapwright
