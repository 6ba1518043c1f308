#include "proof/timed/value_sweep.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/figure_id.hpp"
#include "link/link_circuit.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "proof/rest/promise_probe.hpp"
#include "proof/search/worst_case.hpp"
#include "proof/timed/nominal_in_time.hpp"
#include "proof/timed/timed_study.hpp"
#include "proof/timed/timed_subject.hpp"
#include "proof/verdict.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

constexpr int points = 41;  // over two decades

// The resistor that is swept.
struct Swept {
    Slot slot;
    double own;                // Ω
    std::vector<double> ohms;  // its values
};

std::optional<Swept> swept_resistor(const Link& link, const LinkCircuit& circuit,
                                    const std::string& part) {
    const auto index = link.find_part(part);
    const auto slot = index ? circuit.find(figure_of(*index, Key::value)) : std::nullopt;
    if (!slot || link.parts[*index].description.kind != Kind::resistor) return std::nullopt;
    Swept swept{*slot, circuit.parameters[to_index(*slot)].spread.nominal, {}};
    for (int k = 0; k < points; ++k) {
        swept.ohms.push_back(swept.own * std::pow(10.0, -1 + 2.0 * k / (points - 1)));
    }
    return swept;
}

// A specimen with its resistor at another value, as far from the nominal one as before.
Specimen with_value(const Specimen& specimen, Slot slot, double own, double ohms) {
    Specimen moved = specimen;
    moved.set(slot, specimen.values[to_index(slot)] * ohms / own);
    return moved;
}

// A promise that is followed over the values.
struct Followed {
    SweptPromise promise;         // without its numbers
    StudyItem item;               // what measures it
    std::vector<Specimen> worst;  // as if with the own value
};

std::vector<Followed> promises_to_follow(const Link& link, const LinkCircuit& circuit) {
    std::vector<Followed> all;
    for (const auto& promise : link.promises) {
        if (promise.at_rest() || promise.signal == Promise::OfSignal::highest_rate) continue;
        const bool below = promise.at_least.has_value();
        const bool width = promise.signal == Promise::OfSignal::width_error;
        const Sense sense = below ? Sense::at_least : Sense::at_most;
        SweptPromise swept{.state = promise.before
                                        ? fmt::format("{} > {}", link.states[*promise.before].name,
                                                      link.states[promise.state].name)
                                        : "signal",
                           .quantity = timed_subject(promise),
                           .dimension = promise.before ? Dimension::time
                                        : width        ? Dimension::ratio
                                                       : promise_dimension(promise),
                           .bound = promise.before ? *promise.within
                                    : below        ? *promise.at_least
                                                   : *promise.at_most,
                           .sense = sense};
        all.push_back({.promise = std::move(swept),
                       .item = {.measure = timed_measure_of(link, circuit, promise),
                                .search = Search::guided,
                                .sense = sense,
                                .magnitude = width},
                       .worst = {}});
    }
    return all;
}

std::expected<std::vector<Followed>, ProofFailure> with_worst(std::vector<Followed> all,
                                                              const ProofTask& task, Slot slot) {
    if (all.empty()) {
        return std::unexpected(
            ProofFailure{"the link promises nothing about time to hold a value against"});
    }
    std::vector<StudyItem> items;
    for (const auto& one : all) items.push_back(one.item);
    for (const double times : {1.0 / 3, 1.0, 3.0}) {
        // Only the spread of one figure changes.
        LinkCircuit moved = task.circuit;
        Spread& spread = moved.parameters[to_index(slot)].spread;
        spread = {spread.lowest * times, spread.nominal * times, spread.highest * times};
        const auto study = study_in_time({task.link, moved, task.ranges, task.options}, items);
        if (!study) return std::unexpected(study.error());
        for (std::size_t p = 0; p < all.size(); ++p) {
            all[p].worst.push_back(with_value(study->items[p].worst_specimen, slot, times, 1));
        }
    }
    return all;
}

struct SweptValue {
    double nominal;
    double worst;
};

std::expected<SweptValue, WaveFailure> value_at(const ProofTask& task, const Followed& followed,
                                                const Swept& swept, double ohms) {
    WaveOptions wave;
    wave.stop = task.options.engine.stop;
    const auto value = [&](const Specimen& specimen) -> std::expected<double, WaveFailure> {
        const auto found =
            timed_values(task.circuit.circuit, with_value(specimen, swept.slot, swept.own, ohms),
                         {followed.item.measure}, wave);
        if (!found) return std::unexpected(found.error());
        const double first = found->values.front();
        return followed.item.magnitude ? std::abs(first) : first;
    };
    const auto nominal = value(nominal_specimen(task.circuit, task.ranges));
    if (!nominal) return std::unexpected(nominal.error());
    SweptValue at{*nominal, *nominal};
    for (const auto& specimen : followed.worst) {
        const auto found = value(specimen);
        if (!found) return std::unexpected(found.error());
        at.worst = followed.item.sense == Sense::at_most ? std::max(at.worst, *found)
                                                         : std::min(at.worst, *found);
    }
    return at;
}

std::expected<SweptPromise, ProofFailure> follow(const ProofTask& task, const Followed& followed,
                                                 const Swept& swept) {
    std::vector<std::expected<SweptValue, WaveFailure>> values(swept.ohms.size());
    at_once(values.size(), task.options.engine,
            [&](std::size_t k) { values[k] = value_at(task, followed, swept, swept.ohms[k]); });
    SweptPromise promise = followed.promise;
    for (const auto& at : values) {
        if (!at)
            return std::unexpected(wave_failure(task.link, at.error(), "a value of the sweep"));
        promise.nominal.push_back(at->nominal);
        promise.worst.push_back(at->worst);
    }
    return promise;
}

// By value: whether promises at rest hold, at the specimens in which each is worst with the own
// value.
std::vector<bool> hold_at_rest(const ProofTask& task, const Swept& swept) {
    const auto& [link, circuit, ranges, options] = task;
    std::vector<Measure> measures;
    std::vector<Target> targets;
    std::vector<double> bounds;
    for (const auto& promise : link.promises) {
        if (!promise.at_rest()) continue;
        for (const auto& [bound, sense] : {std::pair{promise.at_least, Sense::at_least},
                                           std::pair{promise.at_most, Sense::at_most}}) {
            if (!bound) continue;
            measures.push_back(
                {static_cast<StateIndex>(promise.state), promise_probe(promise, circuit)});
            targets.push_back({.measure = measures.size() - 1, .sense = sense, .derating = {}});
            bounds.push_back(*bound);
        }
    }
    std::vector<bool> hold(swept.ohms.size(), true);
    if (measures.empty()) return hold;
    const Engine engine(circuit.circuit, measures, nominal_specimen(circuit, ranges));
    const auto worst = find_worst_cases(circuit, ranges, measurer_of(engine), targets, {},
                                        options.engine, Effort::quick);
    for (std::size_t k = 0; k < hold.size(); ++k) {
        for (std::size_t t = 0; t < targets.size(); ++t) {
            const Specimen moved =
                with_value(worst.extremes[t].specimen, swept.slot, swept.own, swept.ohms[k]);
            const auto rest = solve_link(circuit.circuit, moved.values, moved.conditions);
            const Measure& m = measures[t];
            hold[k] = hold[k] && rest &&
                      reserve_left(measure(m.probe, (*rest)[to_index(m.state)]), bounds[t],
                                   targets[t].sense) >= 0;
        }
    }
    return hold;
}

// Around the own value, which stands in the middle.
void note_kept(std::vector<bool> hold, ValueSweep& sweep) {
    for (std::size_t k = 0; k < hold.size(); ++k) {
        for (const auto& p : sweep.promises) {
            hold[k] = hold[k] && reserve_left(p.worst[k], p.bound, p.sense) >= 0;
        }
    }
    const std::size_t own = hold.size() / 2;
    if (!hold[own]) return;
    std::size_t from = own;
    std::size_t to = own;
    while (from > 0 && hold[from - 1]) --from;
    while (to + 1 < hold.size() && hold[to + 1]) ++to;
    sweep.kept_from = sweep.ohms[from];
    sweep.kept_to = sweep.ohms[to];
}

}  // namespace

std::expected<ValueSweep, ProofFailure> value_sweep(const Link& link, const LinkCircuit& circuit,
                                                    const std::string& part,
                                                    const EngineOptions& engine) {
    const auto swept = swept_resistor(link, circuit, part);
    if (!swept) {
        return std::unexpected(ProofFailure{fmt::format("{} is no resistor of this link", part)});
    }
    const ProofTask task{link, circuit, condition_ranges(link), {.engine = engine}};
    const auto followed = with_worst(promises_to_follow(link, circuit), task, swept->slot);
    if (!followed) return std::unexpected(followed.error());
    ValueSweep sweep{.part = part,
                     .own = swept->own,
                     .ohms = swept->ohms,
                     .promises = {},
                     .kept_from = {},
                     .kept_to = {}};
    for (const auto& one : *followed) {
        auto promise = follow(task, one, *swept);
        if (!promise) return std::unexpected(promise.error());
        sweep.promises.push_back(std::move(*promise));
    }
    note_kept(hold_at_rest(task, *swept), sweep);
    return sweep;
}

}  // namespace gapwright
