#include "proof/timed/timed_limits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <set>
#include <utility>
#include <variant>
#include <vector>
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/verdict.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "waveform/schedule.hpp"

namespace gapwright {
namespace {

using StatePair = std::pair<std::size_t, std::size_t>;

constexpr std::size_t most_switched_states = 4;  // beyond: only changes that the link speaks of
constexpr double pause = 1e-3;                   // s, between disturbances, at least

bool switches_a_winding(const Circuit& circuit) {
    for (const Side side : {Side::input, Side::output}) {
        for (const auto& store : circuit.dynamics(side).stores) {
            if (std::holds_alternative<InductanceStore>(store)) return true;
        }
    }
    return false;
}

std::set<StatePair> changes_of(const Link& link, const Circuit& circuit) {
    std::set<StatePair> changes;
    for (const auto& promise : link.promises) {
        if (promise.before) changes.insert({*promise.before, promise.state});
    }
    if (link.signal) {
        changes.insert({link.signal->rest, link.signal->active});
        changes.insert({link.signal->active, link.signal->rest});
    }
    if (switches_a_winding(circuit) && link.states.size() <= most_switched_states) {
        for (std::size_t a = 0; a < link.states.size(); ++a) {
            for (std::size_t b = 0; b < link.states.size(); ++b) {
                if (a != b) changes.insert({a, b});
            }
        }
    }
    return changes;
}

void add_in_changes(const Link& link, const LinkCircuit& circuit,
                    const std::vector<StatePoint>& nominal, std::vector<TimedLimit>& limits) {
    const auto ratings = ratings_of(link, circuit);
    for (const auto& [before, after] : changes_of(link, circuit.circuit)) {
        for (const auto& rating : ratings) {
            const bool quick =
                rating.dimension == Dimension::voltage || rating.dimension == Dimension::current;
            if (rating.state != after || !quick || rating.sense != Sense::at_most) continue;
            const auto size = [&](std::size_t state) {
                const double value = measure(rating.probe, nominal[state]);
                return rating.magnitude ? std::abs(value) : value;
            };
            const Schedule schedule{.from = static_cast<StateIndex>(before),
                                    .changes = {{0, static_cast<StateIndex>(after)}}};
            TimedLimit limit{
                .where = fmt::format("{} > {}", link.states[before].name, link.states[after].name),
                .part = link.parts[rating.part].name + (rating.receiver ? ".receiver" : ""),
                .limit = rating.limit,
                .dimension = rating.dimension,
                .bound = rating.rated,
                .basis = rating.basis,
                .derating = rating.derating,
                .magnitude = false,
                .at_rest = std::max(size(before), size(after)),
                .measure = {.reading = TimedMeasure::Reading::highest,
                            .schedule = schedule,
                            .probe = rating.probe}};
            limits.push_back(limit);
            if (!rating.magnitude) continue;
            limit.measure.reading = TimedMeasure::Reading::lowest;
            limit.magnitude = true;
            limits.push_back(limit);
        }
    }
}

void add_disturbed(const Link& link, const LinkCircuit& circuit,
                   const std::vector<StatePoint>& nominal, std::vector<TimedLimit>& limits) {
    for (const auto& level : level_limits(link, circuit)) {
        if (link.parts[level.part].description.kind != Kind::logic_input) continue;
        for (std::size_t s = 0; s < link.states.size(); ++s) {
            const bool high = level.is_high(measure(level.probe, nominal[s]));
            limits.push_back({.where = link.states[s].name + ", disturbed",
                              .part = link.parts[level.part].name,
                              .limit = high ? level.high_key : level.low_key,
                              .sense = high ? Sense::at_least : Sense::at_most,
                              .bound = high ? level.high : level.low,
                              .derating = {},
                              .always = true,
                              .measure = {.reading = high ? TimedMeasure::Reading::lowest
                                                          : TimedMeasure::Reading::highest,
                                          .schedule = disturbed(*link.disturbance, s),
                                          .probe = level.probe}});
        }
    }
}

}  // namespace

Schedule disturbed(const Disturbance& disturbance, std::size_t state) {
    Schedule schedule{.from = static_cast<StateIndex>(state)};
    double at = 0;
    if (disturbance.edge > 0) {
        const double length = disturbance.amplitude / disturbance.edge;
        for (const double direction : {1.0, -1.0}) {
            schedule.surges.push_back({at, length, direction * disturbance.edge});
            at += length + std::max(pause, 10 * length);
        }
    }
    if (disturbance.dip > 0) {
        for (const Side side : {Side::input, Side::output}) {
            schedule.dips.push_back({side, at, disturbance.dip_time, disturbance.dip});
            at += disturbance.dip_time + std::max(pause, disturbance.dip_time);
        }
    }
    return schedule;
}

std::vector<TimedLimit> timed_limits(const Link& link, const LinkCircuit& circuit,
                                     const std::vector<StatePoint>& nominal) {
    std::vector<TimedLimit> limits;
    add_in_changes(link, circuit, nominal, limits);
    if (link.disturbance) add_disturbed(link, circuit, nominal, limits);
    return limits;
}

}  // namespace gapwright
