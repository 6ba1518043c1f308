#include "proof/timed_study.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/assumed_figures.hpp"
#include "proof/case_of.hpp"
#include "proof/prove.hpp"
#include "proof/search_space.hpp"
#include "proof/stretch.hpp"
#include "proof/stretch_result.hpp"
#include "proof/verdict.hpp"
#include "proof/worst_case.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t few = 40;  // specimens drawn for what takes longest
// Of waveforms over the spread: delays then hold to about 3e-4 of themselves, at 0.6 of the time.
constexpr double coarse = 1e-5;

ProofFailure stopped() {
    return {"stopped before the waveforms were complete", true};
}

// Items that share a waveform.
struct Group {
    std::vector<std::size_t> items;
    std::vector<TimedMeasure> measures;
    std::vector<Target> targets;
    Search search = Search::guided;
};

class StudyRun {
  public:
    StudyRun(const Link& link, const LinkCircuit& circuit, const ConditionRanges& ranges,
             const std::vector<StudyItem>& items, const ProofOptions& options)
        : link_(link), circuit_(circuit), ranges_(ranges), items_(items), options_(options) {
        samples_ = std::min(options.timed_samples, options.samples);
    }

    std::expected<Study, ProofFailure> run() {
        const auto nominal = nominal_in_time(link_, circuit_, ranges_, items_, options_.engine);
        if (!nominal) return std::unexpected(nominal.error());
        result_.strays = nominal->strays;
        for (std::size_t k = 0; k < items_.size(); ++k) {
            const double value = nominal->values[k];
            Studied studied;
            studied.failure = nominal->failures[k];
            studied.nominal = studied.lowest = studied.highest = studied.worst = value;
            studied.worst_specimen = nominal_specimen(circuit_, ranges_);
            result_.items.push_back(std::move(studied));
        }
        if (options_.nominal_only) return std::move(result_);
        const auto groups = groups_of();
        const bool none_searched = std::ranges::none_of(
            items_, [](const StudyItem& item) { return item.search == Search::own; });
        for (const bool after : {false, true}) {
            for (const auto& group : groups) {
                if ((group.search == Search::others) != after) continue;
                if (failed_already(group)) continue;
                if (!after || none_searched) {
                    if (auto failed = study(group)) return std::unexpected(*failed);
                }
                if (!after || failed_already(group)) continue;
                if (auto failed = look_where_others_are_worst(group)) {
                    return std::unexpected(*failed);
                }
            }
        }
        return std::move(result_);
    }

  private:
    std::vector<Group> groups_of() const {
        std::vector<Group> groups;
        for (std::size_t k = 0; k < items_.size(); ++k) {
            const StudyItem& item = items_[k];
            auto group = std::ranges::find_if(groups, [&](const Group& g) {
                return g.measures[0].schedule == item.measure.schedule &&
                       (g.search == Search::others) == (item.search == Search::others);
            });
            if (group == groups.end()) {
                groups.emplace_back();
                group = groups.end() - 1;
                group->search = item.search;
            }
            if (item.search == Search::own) group->search = Search::own;
            group->targets.push_back({.measure = group->measures.size(),
                                      .sense = item.sense,
                                      .magnitude = item.magnitude,
                                      .derating = item.derating});
            group->items.push_back(k);
            group->measures.push_back(item.measure);
        }
        return groups;
    }

    // A schedule is followed or not, with all that is measured on the way.
    bool failed_already(const Group& group) const {
        return !result_.items[group.items.front()].failure.empty();
    }

    EngineOptions quiet() const {
        EngineOptions engine = options_.engine;
        engine.progress = {};
        return engine;
    }

    std::optional<ProofFailure> study(const Group& group) {
        const Measurer measurer =
            timed_measurer(circuit_.circuit, group.measures, {.tolerance = coarse});
        std::vector<Specimen> starts;
        if (group.search == Search::own && samples_ > 0) {
            const auto drawn = measurer.run(
                population_source(circuit_, ranges_, options_.seed, samples_), options_.engine);
            if (drawn.outcome.stopped) return stopped();
            if (fails(group, drawn.outcome, samples_)) return std::nullopt;
            result_.samples = samples_;
            take_drawn(group, drawn, samples_);
            starts = worst_drawn(group, drawn);
        }
        const auto worst =
            find_worst_cases(circuit_, ranges_, measurer, group.targets, starts, quiet(),
                             group.search == Search::own ? Effort::sparing : Effort::guided);
        if (worst.outcome.stopped) return stopped();
        if (fails(group, worst.outcome, worst.outcome.solved + worst.outcome.unsettled)) {
            return std::nullopt;
        }
        result_.searched += worst.outcome.solved;
        for (std::size_t t = 0; t < group.items.size(); ++t) {
            Studied& studied = result_.items[group.items[t]];
            studied.worst = worst.extremes[t].value;
            studied.worst_specimen = worst.extremes[t].specimen;
            studied.worst_case = case_of(circuit_, worst, t);
            widen(studied, worst.lowest[t]);
            widen(studied, worst.highest[t]);
        }
        look_at_limits(group, measurer, worst);
        return std::nullopt;
    }

    // Stretches, in the direction of the worst case alone; and whether what breaks hangs on what is
    // only assumed.
    void look_at_limits(const Group& group, const Measurer& measurer, const WorstCases& worst) {
        std::vector<StretchBound> bounds;
        std::vector<std::size_t> items;
        for (std::size_t t = 0; t < group.items.size(); ++t) {
            const auto& limit = items_[group.items[t]].limit;
            if (!limit) continue;
            const Target& target = group.targets[t];
            const Extreme& extreme = worst.extremes[t];
            const double bad =
                target.badness(extreme.value, extreme.specimen.conditions.temperature);
            const double most = target.sense == Sense::at_least ? -*limit : *limit;
            bounds.push_back({.target = target,
                              .limit = most,
                              .nominal_limit = most,
                              .worst = extreme.point,
                              .holds = bad <= most});
            items.push_back(group.items[t]);
            if (bad <= most) continue;
            result_.items[group.items[t]].settling = settling_figures(
                circuit_, ranges_, measurer, {target, most, extreme.point, extreme.effects},
                Effort::guided, quiet());
        }
        if (!options_.stretch) return;
        const SearchSpace space(circuit_, ranges_);
        const auto found = find_stretches(space, measurer, bounds, StretchSearch::sparing, quiet());
        for (std::size_t b = 0; b < found.size(); ++b) {
            result_.items[items[b]].stretch = stretch_of(circuit_, space, found[b]);
        }
    }

    // The worst specimens of the items before, then the first few of those drawn.
    std::optional<ProofFailure> look_where_others_are_worst(const Group& group) {
        std::vector<Specimen> specimens;
        std::vector<std::size_t> whose;  // item, of the first of them
        for (std::size_t k = 0; k < items_.size(); ++k) {
            if (items_[k].search == Search::own && result_.items[k].failure.empty()) {
                specimens.push_back(result_.items[k].worst_specimen);
                whose.push_back(k);
            }
        }
        const std::size_t chosen = specimens.size();
        const std::size_t count = std::min(samples_, few);
        for (std::size_t k = 0; k < count; ++k) {
            specimens.push_back(draw_specimen(circuit_, ranges_, options_.seed, k));
        }
        const SpecimenSource source{.base = nominal_specimen(circuit_, ranges_),
                                    .count = specimens.size(),
                                    .write = [&](std::size_t k, SpecimenPlace& place) {
                                        const Specimen& s = specimens[k];
                                        for (std::size_t v = 0; v < s.values.size(); ++v) {
                                            place.set(static_cast<Slot>(v), s.values[v]);
                                        }
                                        place.set(s.conditions);
                                    }};
        const auto measured =
            timed_measurer(circuit_.circuit, group.measures, {.tolerance = coarse})
                .run(source, quiet());
        if (measured.outcome.stopped) return stopped();
        if (fails(group, measured.outcome, specimens.size())) return std::nullopt;
        for (std::size_t t = 0; t < group.items.size(); ++t) {
            Studied& studied = result_.items[group.items[t]];
            for (std::size_t k = 0; k < specimens.size(); ++k) {
                const double value = measured.at(k, t);
                widen(studied, value);
                if (k >= chosen) studied.drawn.push_back(value);
                const auto bad = [&](double v) { return group.targets[t].badness(v, 0); };
                if (bad(value) > bad(studied.worst)) {
                    studied.worst = value;
                    studied.worst_specimen = specimens[k];
                    studied.worst_case = k < chosen ? result_.items[whose[k]].worst_case : Case{};
                }
            }
        }
        return std::nullopt;
    }

    // One specimen that was not followed might be the worst: nothing of the group is judged.
    bool fails(const Group& group, const EngineOutcome& outcome, std::size_t asked) {
        if (outcome.unsettled == 0) return false;
        for (const std::size_t item : group.items) {
            Studied& studied = result_.items[item];
            studied.lowest = studied.highest = studied.worst = not_a_number;
            studied.drawn.clear();
            studied.failure = fmt::format("no waveform was found for {} of {} specimens",
                                          outcome.unsettled, asked);
        }
        return true;
    }

    static void widen(Studied& studied, double value) {
        studied.lowest = std::min(studied.lowest, value);
        studied.highest = std::max(studied.highest, value);
    }

    void take_drawn(const Group& group, const Measurements& drawn, std::size_t count) {
        for (std::size_t t = 0; t < group.items.size(); ++t) {
            if (items_[group.items[t]].search != Search::own) continue;
            Studied& studied = result_.items[group.items[t]];
            for (std::size_t k = 0; k < count; ++k) {
                studied.drawn.push_back(drawn.at(k, t));
                widen(studied, drawn.at(k, t));
            }
        }
    }

    // For each target the worst specimen drawn.
    std::vector<Specimen> worst_drawn(const Group& group, const Measurements& drawn) const {
        std::vector<Specimen> specimens;
        for (const auto& target : group.targets) {
            std::size_t worst = 0;
            for (std::size_t k = 1; k < samples_; ++k) {
                if (target.badness(drawn.at(k, target.measure), 0) >
                    target.badness(drawn.at(worst, target.measure), 0)) {
                    worst = k;
                }
            }
            specimens.push_back(draw_specimen(circuit_, ranges_, options_.seed, worst));
        }
        return specimens;
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const ConditionRanges& ranges_;
    const std::vector<StudyItem>& items_;
    const ProofOptions& options_;
    std::size_t samples_ = 0;
    Study result_;
};

}  // namespace

ProofFailure wave_failure(const Link& link, const WaveFailure& error, std::string_view which) {
    if (error.stopped) return stopped();
    const auto& node = error.node;
    const std::string where =
        node ? fmt::format(" at the {} side's node {}", side_name(node->first),
                           node_description(link.side(node->first), node->second))
             : "";
    return {fmt::format("no waveform was found for {}: {}{}, {} after the change", which,
                        error.message, where, engineering_short(error.at, Dimension::time))};
}

std::expected<NominalInTime, ProofFailure> nominal_in_time(const Link& link,
                                                           const LinkCircuit& circuit,
                                                           const ConditionRanges& ranges,
                                                           const std::vector<StudyItem>& items,
                                                           const EngineOptions& engine) {
    WaveOptions wave;
    wave.stop = engine.stop;
    const Specimen specimen = nominal_specimen(circuit, ranges);
    NominalInTime result{.values = std::vector<double>(items.size(), not_a_number),
                         .failures = std::vector<std::string>(items.size())};
    std::vector<bool> done(items.size(), false);
    for (std::size_t first = 0; first < items.size(); ++first) {
        if (done[first]) continue;
        std::vector<TimedMeasure> measures;
        std::vector<std::size_t> whose;
        for (std::size_t k = first; k < items.size(); ++k) {
            if (items[k].measure.schedule != items[first].measure.schedule) continue;
            done[k] = true;
            measures.push_back(items[k].measure);
            whose.push_back(k);
        }
        const auto found = timed_values(circuit.circuit, specimen, measures, wave);
        if (!found && found.error().stopped) return std::unexpected(stopped());
        if (found) result.strays = std::max(result.strays, found->strays);
        for (std::size_t m = 0; m < whose.size(); ++m) {
            if (found) {
                result.values[whose[m]] = found->values[m];
            } else {
                result.failures[whose[m]] =
                    wave_failure(link, found.error(), "the nominal link").message;
            }
        }
    }
    return result;
}

std::expected<Study, ProofFailure> study_in_time(const Link& link, const LinkCircuit& circuit,
                                                 const ConditionRanges& ranges,
                                                 const std::vector<StudyItem>& items,
                                                 const ProofOptions& options) {
    return StudyRun(link, circuit, ranges, items, options).run();
}

}  // namespace gapwright
