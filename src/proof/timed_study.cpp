#include "proof/timed_study.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/case_of.hpp"
#include "proof/prove.hpp"
#include "proof/worst_case.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

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
    StudyRun(const LinkCircuit& circuit, const ConditionRanges& ranges,
             const std::vector<StudyItem>& items, const ProofOptions& options)
        : circuit_(circuit), ranges_(ranges), items_(items), options_(options) {
        samples_ = std::min(options.timed_samples, options.samples);
    }

    std::expected<Study, ProofFailure> run() {
        const auto nominal = nominal_in_time(circuit_, ranges_, items_, options_.engine);
        if (!nominal) return std::unexpected(nominal.error());
        for (const double value : *nominal) {
            Studied studied;
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
                if (!after || none_searched) {
                    if (auto failed = study(group)) return std::unexpected(*failed);
                }
                if (!after) continue;
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
            if (auto failed = trouble(drawn.outcome)) return failed;
            result_.samples = samples_;
            take_drawn(group, drawn, samples_);
            starts = worst_drawn(group, drawn);
        }
        const auto worst =
            find_worst_cases(circuit_, ranges_, measurer, group.targets, starts, quiet(),
                             group.search == Search::own ? Effort::sparing : Effort::guided);
        if (auto failed = trouble(worst.outcome)) return failed;
        result_.searched += worst.outcome.solved;
        for (std::size_t t = 0; t < group.items.size(); ++t) {
            Studied& studied = result_.items[group.items[t]];
            studied.worst = worst.extremes[t].value;
            studied.worst_specimen = worst.extremes[t].specimen;
            studied.worst_case = case_of(circuit_, worst, t);
            widen(studied, worst.lowest[t]);
            widen(studied, worst.highest[t]);
        }
        return std::nullopt;
    }

    // The worst specimens of the items before, then the first few of those drawn.
    std::optional<ProofFailure> look_where_others_are_worst(const Group& group) {
        std::vector<Specimen> specimens;
        std::vector<std::size_t> whose;  // item, of the first of them
        for (std::size_t k = 0; k < items_.size(); ++k) {
            if (items_[k].search == Search::own) {
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
        if (auto failed = trouble(measured.outcome)) return failed;
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

    static std::optional<ProofFailure> trouble(const EngineOutcome& outcome) {
        if (outcome.stopped) return stopped();
        if (outcome.unsettled == 0) return std::nullopt;
        return ProofFailure{
            fmt::format("no waveform was found for {} of the specimens", outcome.unsettled)};
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

    const LinkCircuit& circuit_;
    const ConditionRanges& ranges_;
    const std::vector<StudyItem>& items_;
    const ProofOptions& options_;
    std::size_t samples_ = 0;
    Study result_;
};

}  // namespace

ProofFailure wave_failure(const WaveFailure& error, std::string_view which) {
    if (error.stopped) return stopped();
    return {fmt::format("no waveform was found for {}: {}, {} after the change", which,
                        error.message, engineering_short(error.at, Dimension::time))};
}

std::expected<std::vector<double>, ProofFailure> nominal_in_time(
    const LinkCircuit& circuit, const ConditionRanges& ranges, const std::vector<StudyItem>& items,
    const EngineOptions& engine) {
    std::vector<TimedMeasure> measures;
    for (const auto& item : items) measures.push_back(item.measure);
    WaveOptions wave;
    wave.stop = engine.stop;
    const auto values =
        timed_values(circuit.circuit, nominal_specimen(circuit, ranges), measures, wave);
    if (!values) return std::unexpected(wave_failure(values.error(), "the nominal link"));
    return *values;
}

std::expected<Study, ProofFailure> study_in_time(const LinkCircuit& circuit,
                                                 const ConditionRanges& ranges,
                                                 const std::vector<StudyItem>& items,
                                                 const ProofOptions& options) {
    return StudyRun(circuit, ranges, items, options).run();
}

}  // namespace gapwright
