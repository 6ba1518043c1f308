#include "proof/timed/timed_study.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/cases/case.hpp"
#include "proof/cases/case_of.hpp"
#include "proof/limits/assumed_figures.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/stretch.hpp"
#include "proof/search/stretch_result.hpp"
#include "proof/search/worst_case.hpp"
#include "proof/timed/nominal_in_time.hpp"
#include "proof/verdict.hpp"
#include "time/timed_measure.hpp"

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
    std::vector<std::size_t> places;  // of the items among all
    std::vector<StudyItem> items;
    Search search = Search::guided;
};

// What becomes of a group in one step: of its items, and by how many specimens.
struct GroupStudy {
    std::vector<Studied> items;
    std::size_t samples = 0;
    std::size_t searched = 0;
};

std::vector<TimedMeasure> measures_of(const std::vector<StudyItem>& items) {
    std::vector<TimedMeasure> measures;
    for (const auto& item : items) measures.push_back(item.measure);
    return measures;
}

// A target an item, of its measure.
std::vector<Target> targets_of(const Group& group) {
    std::vector<Target> targets;
    for (const auto& item : group.items) {
        targets.push_back({.measure = targets.size(),
                           .sense = item.sense,
                           .magnitude = item.magnitude,
                           .derating = item.derating});
    }
    return targets;
}

std::vector<Group> groups_of(const std::vector<StudyItem>& items) {
    std::vector<Group> groups;
    for (std::size_t k = 0; k < items.size(); ++k) {
        const StudyItem& item = items[k];
        auto group = std::ranges::find_if(groups, [&](const Group& g) {
            return g.items[0].measure.schedule == item.measure.schedule &&
                   (g.search == Search::others) == (item.search == Search::others);
        });
        if (group == groups.end()) {
            groups.push_back({.places = {}, .items = {}, .search = item.search});
            group = groups.end() - 1;
        }
        if (item.search == Search::own) group->search = Search::own;
        group->places.push_back(k);
        group->items.push_back(item);
    }
    return groups;
}

EngineOptions quiet(const ProofTask& task) {
    EngineOptions engine = task.options.engine;
    engine.progress = {};
    return engine;
}

std::size_t samples_of(const ProofTask& task) {
    return std::min(task.options.timed_samples, task.options.samples);
}

void widen(Studied& studied, double value) {
    studied.lowest = std::min(studied.lowest, value);
    studied.highest = std::max(studied.highest, value);
}

// The population in time, `samples` of it: fewer where lanes follow but few of them. Each of the
// rest would take milliseconds.
Measurements drawn_population(const ProofTask& task, const Measurer& measurer,
                              std::size_t& samples) {
    constexpr std::size_t look = 100;
    constexpr std::size_t most_alone = 5;  // of those
    const auto draw = [&](std::size_t count, const EngineOptions& engine) {
        return measurer.run(population_source(task.circuit, task.ranges, task.options.seed, count),
                            engine);
    };
    if (samples <= look) return draw(samples, task.options.engine);
    auto first = draw(look, quiet(task));
    const EngineOutcome& outcome = first.outcome;
    if (outcome.stopped || outcome.unsettled > 0 || outcome.by_single_points > most_alone) {
        samples = look;
        return first;
    }
    return draw(samples, task.options.engine);
}

// One specimen that was not followed might be the worst: nothing of the group is judged.
GroupStudy not_followed(GroupStudy found, const EngineOutcome& outcome, std::size_t asked) {
    for (auto& studied : found.items) {
        studied.lowest = studied.highest = studied.worst = not_a_number;
        studied.drawn.clear();
        studied.failure =
            fmt::format("no waveform was found for {} of {} specimens", outcome.unsettled, asked);
    }
    return found;
}

void take_drawn(const Group& group, const Measurements& drawn, std::size_t count,
                std::vector<Studied>& items) {
    for (std::size_t t = 0; t < items.size(); ++t) {
        if (group.items[t].search != Search::own) continue;
        for (std::size_t k = 0; k < count; ++k) {
            items[t].drawn.push_back(drawn.at(k, t));
            widen(items[t], drawn.at(k, t));
        }
    }
}

// For each target the worst specimen drawn.
std::vector<Specimen> worst_drawn(const ProofTask& task, const std::vector<Target>& targets,
                                  const Measurements& drawn, std::size_t count) {
    std::vector<Specimen> specimens;
    for (const auto& target : targets) {
        std::size_t worst = 0;
        for (std::size_t k = 1; k < count; ++k) {
            if (target.badness(drawn.at(k, target.measure), 0) >
                target.badness(drawn.at(worst, target.measure), 0)) {
                worst = k;
            }
        }
        specimens.push_back(draw_specimen(task.circuit, task.ranges, task.options.seed, worst));
    }
    return specimens;
}

// Stretches, in the direction of the worst case alone; and whether what breaks hangs on what is
// only assumed.
void look_at_limits(const ProofTask& task, const Group& group, const Measurer& measurer,
                    const WorstCases& worst, std::vector<Studied>& items) {
    const auto targets = targets_of(group);
    std::vector<StretchBound> bounds;
    std::vector<std::size_t> whose;
    for (std::size_t t = 0; t < targets.size(); ++t) {
        const auto& limit = group.items[t].limit;
        if (!limit) continue;
        const Target& target = targets[t];
        const Extreme& extreme = worst.extremes[t];
        const double bad = target.badness(extreme.value, extreme.specimen.conditions.temperature);
        const double most = target.sense == Sense::at_least ? -*limit : *limit;
        bounds.push_back({.target = target,
                          .limit = most,
                          .nominal_limit = most,
                          .worst = extreme.point,
                          .holds = bad <= most});
        whose.push_back(t);
        if (bad <= most) continue;
        items[t].settling = settling_figures(task.circuit, task.ranges, measurer,
                                             {target, most, extreme.point, extreme.effects},
                                             Effort::guided, quiet(task));
    }
    if (!task.options.stretch) return;
    const SearchSpace space(task.circuit, task.ranges);
    const auto found = find_stretches(space, measurer, bounds, StretchSearch::sparing, quiet(task));
    for (std::size_t b = 0; b < found.size(); ++b) {
        items[whose[b]].stretch = stretch_of(task.circuit, space, found[b]);
    }
}

// The population, where the group has one of its own; then the search for the worst.
std::expected<GroupStudy, ProofFailure> searched(const ProofTask& task, const Group& group,
                                                 std::vector<Studied> items) {
    const bool own = group.search == Search::own;
    const Measurer measurer =
        timed_measurer(task.circuit.circuit, measures_of(group.items), {.tolerance = coarse});
    const auto targets = targets_of(group);
    GroupStudy found{.items = std::move(items), .samples = own ? samples_of(task) : 0};
    std::vector<Specimen> starts;
    if (found.samples > 0) {
        const auto drawn = drawn_population(task, measurer, found.samples);
        if (drawn.outcome.stopped) return std::unexpected(stopped());
        if (drawn.outcome.unsettled > 0) {
            const std::size_t asked = std::exchange(found.samples, 0);
            return not_followed(std::move(found), drawn.outcome, asked);
        }
        take_drawn(group, drawn, found.samples, found.items);
        starts = worst_drawn(task, targets, drawn, found.samples);
    }
    const auto worst = find_worst_cases(task.circuit, task.ranges, measurer, targets, starts,
                                        quiet(task), own ? Effort::sparing : Effort::guided);
    const auto& outcome = worst.outcome;
    if (outcome.stopped) return std::unexpected(stopped());
    if (outcome.unsettled > 0) {
        return not_followed(std::move(found), outcome, outcome.solved + outcome.unsettled);
    }
    found.searched = outcome.solved;
    for (std::size_t t = 0; t < targets.size(); ++t) {
        Studied& studied = found.items[t];
        studied.worst = worst.extremes[t].value;
        studied.worst_specimen = worst.extremes[t].specimen;
        studied.worst_case = case_of(task.circuit, worst, t);
        widen(studied, worst.lowest[t]);
        widen(studied, worst.highest[t]);
    }
    look_at_limits(task, group, measurer, worst, found.items);
    return found;
}

// A specimen that is looked at for others, and where it is the worst of one: which case that is.
struct Chosen {
    Specimen specimen;
    Case where;
    bool drawn;
};

// The worst specimens of items with a search of their own, then the first few of those drawn.
std::vector<Chosen> chosen_specimens(const ProofTask& task, const std::vector<StudyItem>& items,
                                     const std::vector<Studied>& studied) {
    std::vector<Chosen> chosen;
    for (std::size_t k = 0; k < items.size(); ++k) {
        if (items[k].search != Search::own || !studied[k].failure.empty()) continue;
        chosen.push_back({studied[k].worst_specimen, studied[k].worst_case, false});
    }
    const std::size_t count = std::min(samples_of(task), few);
    for (std::size_t k = 0; k < count; ++k) {
        chosen.push_back(
            {draw_specimen(task.circuit, task.ranges, task.options.seed, k), {}, true});
    }
    return chosen;
}

std::expected<GroupStudy, ProofFailure> looked_at(const ProofTask& task, const Group& group,
                                                  std::vector<Studied> items,
                                                  const std::vector<Chosen>& chosen) {
    const SpecimenSource source{.base = nominal_specimen(task.circuit, task.ranges),
                                .count = chosen.size(),
                                .write = [&](std::size_t k, SpecimenPlace& place) {
                                    const Specimen& s = chosen[k].specimen;
                                    for (std::size_t v = 0; v < s.values.size(); ++v) {
                                        place.set(static_cast<Slot>(v), s.values[v]);
                                    }
                                    place.set(s.conditions);
                                }};
    const auto measured =
        timed_measurer(task.circuit.circuit, measures_of(group.items), {.tolerance = coarse})
            .run(source, quiet(task));
    if (measured.outcome.stopped) return std::unexpected(stopped());
    GroupStudy found{.items = std::move(items)};
    if (measured.outcome.unsettled > 0) {
        return not_followed(std::move(found), measured.outcome, chosen.size());
    }
    const auto targets = targets_of(group);
    for (std::size_t t = 0; t < targets.size(); ++t) {
        Studied& studied = found.items[t];
        for (std::size_t k = 0; k < chosen.size(); ++k) {
            const double value = measured.at(k, t);
            widen(studied, value);
            if (chosen[k].drawn) studied.drawn.push_back(value);
            const auto bad = [&](double v) { return targets[t].badness(v, 0); };
            if (bad(value) > bad(studied.worst)) {
                studied.worst = value;
                studied.worst_specimen = chosen[k].specimen;
                studied.worst_case = chosen[k].where;
            }
        }
    }
    return found;
}

std::expected<Study, ProofFailure> nominal_study(const ProofTask& task,
                                                 const std::vector<StudyItem>& items) {
    const auto nominal = nominal_in_time(task, measures_of(items));
    if (!nominal) return std::unexpected(nominal.error());
    Study study{.items = {}, .strays = nominal->strays};
    for (const auto& [value, failure] : nominal->items) {
        Studied studied{.failure = failure,
                        .nominal = value,
                        .lowest = value,
                        .highest = value,
                        .worst = value,
                        .worst_specimen = nominal_specimen(task.circuit, task.ranges),
                        .worst_case = {},
                        .drawn = {}};
        study.items.push_back(std::move(studied));
    }
    return study;
}

}  // namespace

std::expected<Study, ProofFailure> study_in_time(const ProofTask& task,
                                                 const std::vector<StudyItem>& items) {
    auto study = nominal_study(task, items);
    if (!study || task.options.nominal_only) return study;
    const auto groups = groups_of(items);
    // A schedule is followed or not, with all that is measured on the way: where it is not, the
    // group is left as it stands.
    const auto go_on = [&](const Group& group, auto&& step) -> std::optional<ProofFailure> {
        std::vector<Studied> before;
        for (const std::size_t k : group.places) before.push_back(study->items[k]);
        if (!before.front().failure.empty()) return std::nullopt;
        auto found = step(std::move(before));
        if (!found) return found.error();
        for (std::size_t t = 0; t < group.places.size(); ++t) {
            study->items[group.places[t]] = std::move(found->items[t]);
        }
        study->samples = std::max(study->samples, found->samples);
        study->searched += found->searched;
        return std::nullopt;
    };
    const bool none_searched = std::ranges::none_of(
        items, [](const StudyItem& item) { return item.search == Search::own; });
    for (const auto& group : groups) {
        if (group.search == Search::others && !none_searched) continue;
        const auto failed = go_on(group, [&](std::vector<Studied> before) {
            return searched(task, group, std::move(before));
        });
        if (failed) return std::unexpected(*failed);
    }
    const auto chosen = chosen_specimens(task, items, study->items);
    for (const auto& group : groups) {
        if (group.search != Search::others) continue;
        const auto failed = go_on(group, [&](std::vector<Studied> before) {
            return looked_at(task, group, std::move(before), chosen);
        });
        if (failed) return std::unexpected(*failed);
    }
    return study;
}

}  // namespace gapwright
