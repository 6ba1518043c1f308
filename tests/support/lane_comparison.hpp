// Waveforms in lanes beside those of the single integrator at a much finer tolerance.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <sstream>
#include <string>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "population/specimen.hpp"
#include "time/timed_measure.hpp"
#include "waveform/lane_waves.hpp"

namespace gapwright::testing_support {

// Of two times what is nearer than this, s, is one: what jumps does so within less.
inline constexpr double same_instant = 1e-11;

struct LaneComparison {
    std::size_t waveforms = 0;
    std::size_t not_followed = 0;  // in lanes
    std::size_t not_planned = 0;   // schedules
    std::size_t not_comparable = 0;
    std::size_t crossings = 0;
    std::size_t other_count = 0;  // probes that cross more or less often
    double time = 0;              // largest difference of a crossing, of itself
    double peak = 0;              // largest difference of an extreme, of its side's supply
    std::string where;            // of that time
    std::string where_peak = {};
    std::vector<std::string> other = {};  // those probes
};

// The voltage of every node that moves by more than `least` between two states at rest, half-way.
inline std::vector<WaveWatch> half_ways(const Circuit& circuit, const StatePoint& from,
                                        const StatePoint& to, double least) {
    std::vector<WaveWatch> watches;
    for (const Side side : {Side::input, Side::output}) {
        for (std::size_t n = 1; n < circuit.states[0].side(side).nodes; ++n) {
            const Node node = static_cast<Node>(n);
            const double before = from.side(side).voltage(node);
            const double after = to.side(side).voltage(node);
            if (std::abs(before - after) < least) continue;
            watches.push_back({.probe = {.kind = Probe::Kind::voltage,
                                         .side = side,
                                         .ports = {{node, Node::side_return, {}}}},
                               .level = 0.5 * (before + after)});
        }
    }
    return watches;
}

inline std::vector<double> times_of(const Waveform& wave, std::size_t watch) {
    std::vector<double> times;
    for (const auto& crossing : wave.crossings) {
        if (crossing.watch == watch) times.push_back(crossing.at);
    }
    return times;
}

inline void write_specimen(LaneGroup& group, std::size_t lane, const Specimen& specimen) {
    SpecimenPlace place(group.specimens() + lane, group.width(), specimen.values.size());
    for (std::size_t v = 0; v < specimen.values.size(); ++v) {
        place.set(static_cast<Slot>(v), specimen.values[v]);
    }
    place.set(specimen.conditions);
}

// Adds to `comparison` what the specimens do; the first of them is what the plan is made about.
inline void compare(const Circuit& circuit, const Schedule& schedule,
                    const std::vector<WaveWatch>& watches, const std::vector<Specimen>& specimens,
                    double tolerance, double supply, LaneComparison& comparison) {
    const Specimen& first = specimens.front();
    comparison.waveforms += specimens.size();
    const auto rest = solve_link(circuit, first.values, first.conditions);
    const auto planned = rest ? plan_lane_waves(circuit, schedule, watches, first.values,
                                                first.conditions, *rest, tolerance)
                              : std::nullopt;
    if (!planned) {
        ++comparison.not_planned;
        comparison.not_followed += specimens.size();
        return;
    }
    LaneGroup group(*planned, "");
    for (std::size_t begin = 0; begin < specimens.size(); begin += group.width()) {
        const std::size_t count = std::min(group.width(), specimens.size() - begin);
        for (std::size_t k = 0; k < count; ++k) write_specimen(group, k, specimens[begin + k]);
        const auto waves = group.follow(count, {});
        for (std::size_t k = 0; k < count; ++k) {
            if (!waves[k]) {
                ++comparison.not_followed;
                continue;
            }
            const auto fine = specimen_wave(circuit, specimens[begin + k], schedule, watches,
                                            {.tolerance = 1e-9});
            if (!fine || fine->wave.strays != planned->strays) {
                ++comparison.not_comparable;  // at 1e-9 it needs strays, or none
                continue;
            }
            for (std::size_t w = 0; w < watches.size(); ++w) {
                const double apart =
                    std::max(std::abs(waves[k]->lowest[w] - fine->wave.lowest[w]),
                             std::abs(waves[k]->highest[w] - fine->wave.highest[w]));
                if (apart / supply > comparison.peak) {
                    comparison.peak = apart / supply;
                    std::ostringstream where;
                    where << "specimen " << begin + k << ", probe " << w << ": "
                          << waves[k]->lowest[w] << " … " << waves[k]->highest[w] << ", not "
                          << fine->wave.lowest[w] << " … " << fine->wave.highest[w];
                    comparison.where_peak = where.str();
                }
                const auto own = times_of(*waves[k], w);
                const auto other = times_of(fine->wave, w);
                if (own.size() != other.size()) {
                    ++comparison.other_count;
                    std::ostringstream where;
                    where << "specimen " << begin + k << ", probe " << w << ':';
                    for (const double t : own) where << ' ' << t;
                    where << " s, not";
                    for (const double t : other) where << ' ' << t;
                    comparison.other.push_back(where.str());
                    continue;
                }
                for (std::size_t c = 0; c < own.size(); ++c) {
                    ++comparison.crossings;
                    const double off = std::max(0.0, std::abs(own[c] - other[c]) - same_instant) /
                                       (other[c] + same_instant);
                    if (off <= comparison.time) continue;
                    comparison.time = off;
                    std::ostringstream where;
                    where << "specimen " << begin + k << ", probe " << w << ": " << own[c]
                          << " s, not " << other[c];
                    comparison.where = where.str();
                }
            }
        }
    }
}

}  // namespace gapwright::testing_support
