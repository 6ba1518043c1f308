#include "proof/prove.hpp"

#include <algorithm>
#include <cstddef>
#include <expected>
#include <iterator>
#include <optional>
#include <utility>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "population/survey.hpp"
#include "proof/cases/case_of.hpp"
#include "proof/cautions/cautions.hpp"
#include "proof/limits/emitter_hours.hpp"
#include "proof/proof.hpp"
#include "proof/proof_task.hpp"
#include "proof/rest/rest_evidence.hpp"
#include "proof/rest/rest_targets.hpp"
#include "proof/rest/rest_verdicts.hpp"
#include "proof/rest/shown.hpp"
#include "proof/search/stretch_result.hpp"
#include "proof/timed/timed_proof.hpp"
#include "proof/verdict.hpp"
#include "proof/worked_steps.hpp"
#include "units/quantity.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

ConditionRanges asked_ranges(const Link& link, const ProofOptions& options) {
    ConditionRanges ranges = condition_ranges(link);
    if (options.temperature) ranges.temperature = exactly(*options.temperature);
    return ranges;
}

std::expected<std::vector<StatePoint>, ProofFailure> nominal_points(const ProofTask& task) {
    const Specimen specimen = nominal_specimen(task.circuit, task.ranges);
    auto solved = solve_link(task.circuit.circuit, specimen.values, specimen.conditions);
    if (solved) return std::move(*solved);
    return std::unexpected(
        ProofFailure{not_settled(task.link, solved.error(), "the nominal link")});
}

// What takes waveforms is still looked at where the user has stopped the drawing at rest, as far as
// that is soon done.
ProofTask timed_task(ProofTask task, const RestEvidence& rest) {
    ProofOptions& options = task.options;
    if (options.nominal_only || rest.population.specimens == options.samples) return task;
    options.engine.stop = {};
    constexpr std::size_t soon = 1000;
    options.timed_samples = std::min(options.timed_samples, soon);
    return task;
}

std::vector<Band> bands_of(const std::vector<std::size_t>& measures, const RestEvidence& rest) {
    std::vector<Band> bands;
    for (const std::size_t m : measures) {
        const Extent& drawn = rest.population.extents[m];
        bands.push_back({std::min(rest.worst.lowest[m], drawn.lowest),
                         std::max(rest.worst.highest[m], drawn.highest)});
    }
    return bands;
}

std::vector<NominalState> states_of(const ProofTask& task, const RestTargets& sought,
                                    const std::vector<StatePoint>& nominal,
                                    const RestEvidence& rest) {
    auto states = shown_states(task.link, task.circuit, nominal);
    if (task.options.nominal_only) return states;
    for (std::size_t s = 0; s < states.size(); ++s) {
        states[s].current_bands = bands_of(sought.shown[s].currents, rest);
        states[s].voltage_bands = bands_of(sought.shown[s].voltages, rest);
    }
    return states;
}

// Promises come in the link's order, whoever judged them.
std::vector<PromiseResult> in_order(const Link& link, std::vector<PromiseResult> resting,
                                    std::vector<PromiseResult> timed) {
    std::vector<PromiseResult> all;
    auto next_resting = resting.begin();
    auto next_timed = timed.begin();
    for (const auto& promise : link.promises) {
        all.push_back(std::move(promise.at_rest() ? *next_resting++ : *next_timed++));
    }
    return all;
}

// `all_settled`: whether every specimen at rest had an answer.
Verdict overall(const Proof& proof, bool all_settled) {
    Verdict verdict = all_settled ? Verdict::kept : Verdict::unknown;
    for (const auto& promise : proof.promises) verdict = worse(verdict, promise.verdict);
    for (const auto& rating : proof.ratings) verdict = worse(verdict, rating.verdict);
    return verdict;
}

Proof proof_of(const ProofTask& task, const RestTargets& sought,
               const std::vector<StatePoint>& nominal, RestEvidence rest, TimedProof timed) {
    const auto& [link, circuit, ranges, options] = task;
    Proof proof{
        .nominal_only = options.nominal_only,
        .states = states_of(task, sought, nominal, rest),
        .promises = in_order(link, rest_promises(task, sought, rest), std::move(timed.promises)),
        .ratings = rest_ratings(task, sought, rest),
        .levels = levels_of(link, circuit, nominal),
        .steps = worked_steps(link, circuit, nominal),
        .cautions = cautions_of(link, circuit, nominal),
        .emitters = emitter_hours(link, circuit, ranges, nominal),
        .not_judged = std::move(rest.not_judged),
        .seed = options.seed,
        .samples = rest.population.specimens,
        .asked = options.nominal_only ? 0 : options.samples,
        .worst_case_specimens = rest.worst.outcome.solved + timed.worst_case_specimens,
        .timed_samples = timed.samples};
    std::ranges::move(timed.ratings, std::back_inserter(proof.ratings));
    proof.verdict = overall(proof, proof.not_judged.empty());
    std::ranges::move(timed.not_judged, std::back_inserter(proof.not_judged));
    if (timed.strays == Strays::all) proof.cautions.push_back(strays_assumed());
    proof.stretch = link_stretch(proof);
    return proof;
}

}  // namespace

std::expected<Proof, ProofFailure> prove(const Link& link, const LinkCircuit& circuit,
                                         const ProofOptions& options) {
    const ProofTask task{link, circuit, asked_ranges(link, options), options};
    const auto nominal = nominal_points(task);
    if (!nominal) return std::unexpected(nominal.error());
    const RestTargets sought = rest_targets(link, circuit, *nominal);
    auto rest = options.nominal_only ? nominal_evidence(task, sought) : rest_evidence(task, sought);
    if (!rest) return std::unexpected(rest.error());
    auto timed = prove_in_time(timed_task(task, *rest), *nominal);
    if (!timed) return std::unexpected(timed.error());
    return proof_of(task, sought, *nominal, std::move(*rest), std::move(*timed));
}

}  // namespace gapwright
