#include "proof/value_sweep.hpp"

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
#include "link/link_circuit.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/promise_probe.hpp"
#include "proof/prove.hpp"
#include "proof/timed_study.hpp"
#include "proof/timed_subject.hpp"
#include "proof/verdict.hpp"
#include "proof/worst_case.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

constexpr int points = 41;  // over two decades

// A specimen with its resistor at another value, as far from the nominal one as before.
Specimen with_value(const Specimen& specimen, Slot slot, double own, double ohms) {
    Specimen moved = specimen;
    moved.set(slot, specimen.values[to_index(slot)] * ohms / own);
    return moved;
}

class Sweeper {
  public:
    Sweeper(const Link& link, const LinkCircuit& circuit, const EngineOptions& engine)
        : link_(link), circuit_(circuit), engine_(engine), ranges_(condition_ranges(link)) {}

    std::expected<ValueSweep, ProofFailure> run(const std::string& part) {
        const auto index = link_.find_part(part);
        const auto slot = index ? circuit_.find(figure_of(*index, Key::value)) : std::nullopt;
        if (!slot || link_.parts[*index].description.kind != Kind::resistor) {
            return std::unexpected(
                ProofFailure{fmt::format("{} is no resistor of this link", part)});
        }
        slot_ = *slot;
        sweep_.part = part;
        sweep_.own = circuit_.parameters[to_index(slot_)].spread.nominal;
        for (int k = 0; k < points; ++k) {
            sweep_.ohms.push_back(sweep_.own * std::pow(10.0, -1 + 2.0 * k / (points - 1)));
        }
        if (auto failed = find_worst()) return std::unexpected(*failed);
        if (auto failed = follow()) return std::unexpected(*failed);
        find_kept();
        return std::move(sweep_);
    }

  private:
    std::optional<ProofFailure> find_worst() {
        for (const auto& promise : link_.promises) {
            if (promise.at_rest() || promise.signal == Promise::OfSignal::highest_rate) continue;
            const bool below = promise.at_least.has_value();
            const bool width = promise.signal == Promise::OfSignal::width_error;
            SweptPromise swept{
                .state = promise.before ? fmt::format("{} > {}", link_.states[*promise.before].name,
                                                      link_.states[promise.state].name)
                                        : "signal",
                .quantity = timed_subject(promise)};
            swept.dimension = promise.before ? Dimension::time
                              : width        ? Dimension::ratio
                                             : promise_dimension(promise);
            swept.sense = below ? Sense::at_least : Sense::at_most;
            swept.bound = promise.before ? *promise.within
                          : below        ? *promise.at_least
                                         : *promise.at_most;
            sweep_.promises.push_back(std::move(swept));
            items_.push_back({.measure = timed_measure_of(link_, circuit_, promise),
                              .search = Search::guided,
                              .sense = below ? Sense::at_least : Sense::at_most,
                              .magnitude = width});
        }
        if (items_.empty()) {
            return ProofFailure{"the link promises nothing about time to hold a value against"};
        }
        worst_.resize(items_.size());
        for (const double times : {1.0 / 3, 1.0, 3.0}) {
            // Only the spread of one figure changes.
            LinkCircuit moved = circuit_;
            Spread& spread = moved.parameters[to_index(slot_)].spread;
            spread = {spread.lowest * times, spread.nominal * times, spread.highest * times};
            const auto study = study_in_time(link_, moved, ranges_, items_, {.engine = engine_});
            if (!study) return study.error();
            for (std::size_t p = 0; p < items_.size(); ++p) {
                worst_[p].push_back(with_value(study->items[p].worst_specimen, slot_, times, 1));
            }
        }
        return std::nullopt;
    }

    // Nominal and worst specimens of each promise at each value.
    std::optional<ProofFailure> follow() {
        const std::size_t count = sweep_.ohms.size();
        for (auto& swept : sweep_.promises) {
            swept.nominal.resize(count);
            swept.worst.resize(count);
        }
        std::vector<std::optional<WaveFailure>> failures(items_.size() * count);
        at_once(failures.size(), engine_, [&](std::size_t n) {
            if (auto failure = follow(n / count, n % count)) failures[n] = std::move(failure);
        });
        for (const auto& failure : failures) {
            if (failure) return wave_failure(link_, *failure, "a value of the sweep");
        }
        return std::nullopt;
    }

    std::optional<WaveFailure> follow(std::size_t p, std::size_t k) {
        SweptPromise& swept = sweep_.promises[p];
        WaveOptions wave;
        wave.stop = engine_.stop;
        const auto value = [&](const Specimen& specimen) -> std::expected<double, WaveFailure> {
            const auto found = timed_values(circuit_.circuit,
                                            with_value(specimen, slot_, sweep_.own, sweep_.ohms[k]),
                                            {items_[p].measure}, wave);
            if (!found) return std::unexpected(found.error());
            const double first = found->values.front();
            return items_[p].magnitude ? std::abs(first) : first;
        };
        const auto nominal = value(nominal_specimen(circuit_, ranges_));
        if (!nominal) return nominal.error();
        swept.nominal[k] = swept.worst[k] = *nominal;
        for (const auto& specimen : worst_[p]) {
            const auto found = value(specimen);
            if (!found) return found.error();
            swept.worst[k] = swept.sense == Sense::at_most ? std::max(swept.worst[k], *found)
                                                           : std::min(swept.worst[k], *found);
        }
        return std::nullopt;
    }

    // Promises at rest, at the specimens in which each is worst with the own value.
    std::vector<bool> hold_at_rest() const {
        std::vector<Measure> measures;
        std::vector<Target> targets;
        std::vector<double> bounds;
        for (const auto& promise : link_.promises) {
            if (!promise.at_rest()) continue;
            for (const auto& [bound, sense] : {std::pair{promise.at_least, Sense::at_least},
                                               std::pair{promise.at_most, Sense::at_most}}) {
                if (!bound) continue;
                measures.push_back(
                    {static_cast<StateIndex>(promise.state), promise_probe(promise, circuit_)});
                targets.push_back({.measure = measures.size() - 1, .sense = sense, .derating = {}});
                bounds.push_back(*bound);
            }
        }
        std::vector<bool> hold(sweep_.ohms.size(), true);
        if (measures.empty()) return hold;
        const Engine engine(circuit_.circuit, measures, nominal_specimen(circuit_, ranges_));
        const auto worst = find_worst_cases(circuit_, ranges_, measurer_of(engine), targets, {},
                                            engine_, Effort::quick);
        for (std::size_t k = 0; k < hold.size(); ++k) {
            for (std::size_t t = 0; t < targets.size(); ++t) {
                const Specimen moved =
                    with_value(worst.extremes[t].specimen, slot_, sweep_.own, sweep_.ohms[k]);
                const auto rest = solve_link(circuit_.circuit, moved.values, moved.conditions);
                const Measure& m = measures[t];
                hold[k] = hold[k] && rest &&
                          reserve_left(measure(m.probe, (*rest)[to_index(m.state)]), bounds[t],
                                       targets[t].sense) >= 0;
            }
        }
        return hold;
    }

    void find_kept() {
        std::vector<bool> hold = hold_at_rest();
        for (std::size_t k = 0; k < hold.size(); ++k) {
            for (const auto& p : sweep_.promises) {
                hold[k] = hold[k] && reserve_left(p.worst[k], p.bound, p.sense) >= 0;
            }
        }
        const std::size_t own = hold.size() / 2;
        if (!hold[own]) return;
        std::size_t from = own;
        std::size_t to = own;
        while (from > 0 && hold[from - 1]) --from;
        while (to + 1 < hold.size() && hold[to + 1]) ++to;
        sweep_.kept_from = sweep_.ohms[from];
        sweep_.kept_to = sweep_.ohms[to];
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const EngineOptions& engine_;
    ConditionRanges ranges_;
    Slot slot_{};
    std::vector<StudyItem> items_;
    std::vector<std::vector<Specimen>> worst_;  // by promise; as if with the own value
    ValueSweep sweep_;
};

}  // namespace

std::expected<ValueSweep, ProofFailure> value_sweep(const Link& link, const LinkCircuit& circuit,
                                                    const std::string& part,
                                                    const EngineOptions& engine) {
    return Sweeper(link, circuit, engine).run(part);
}

}  // namespace gapwright
