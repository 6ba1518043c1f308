#include "time/reach.hpp"

#include <fmt/format.h>

#include <cmath>

namespace gapwright {

std::expected<SpecimenWave, WaveFailure> specimen_wave(const Circuit& circuit,
                                                       const Specimen& specimen,
                                                       const Schedule& schedule,
                                                       const std::vector<WaveWatch>& watches,
                                                       const WaveOptions& options) {
    auto rest = solve_link(circuit, specimen.values, specimen.conditions);
    if (!rest) {
        return std::unexpected(
            WaveFailure{.at = 0, .message = "no operating point was found to begin from"});
    }
    auto wave =
        waveform(circuit, specimen.values, specimen.conditions, schedule, *rest, watches, options);
    if (!wave) return std::unexpected(wave.error());
    return SpecimenWave{std::move(*rest), std::move(*wave)};
}

Reach reach_of(const Waveform& wave, std::size_t watch, double level) {
    const double first = wave.first[watch];
    const double last = wave.last[watch];
    const bool upwards = first == last ? level >= first : last > first;
    const auto past = [&](double value) { return upwards ? value >= level : value <= level; };
    if (!past(last)) {
        return {.closest = upwards ? wave.highest[watch] : wave.lowest[watch]};
    }
    Reach reach{.at = 0, .closest = last};
    for (const auto& crossing : wave.crossings) {
        if (crossing.watch == watch && crossing.rising == upwards) reach.at = crossing.at;
    }
    return reach;
}

std::expected<std::vector<Reach>, WaveFailure> reaches(const Circuit& circuit,
                                                       const Specimen& specimen,
                                                       const std::vector<ChangeMeasure>& measures,
                                                       const WaveOptions& options) {
    std::vector<Reach> result(measures.size());
    std::vector<bool> done(measures.size(), false);
    for (std::size_t first = 0; first < measures.size(); ++first) {
        if (done[first]) continue;
        std::vector<WaveWatch> watches;
        std::vector<std::size_t> whose;
        for (std::size_t m = first; m < measures.size(); ++m) {
            if (measures[m].before != measures[first].before ||
                measures[m].after != measures[first].after) {
                continue;
            }
            watches.push_back({measures[m].probe, measures[m].level});
            whose.push_back(m);
            done[m] = true;
        }
        const Schedule schedule{.from = measures[first].before,
                                .changes = {{0, measures[first].after}}};
        const auto run = specimen_wave(circuit, specimen, schedule, watches, options);
        if (!run) return std::unexpected(run.error());
        for (std::size_t w = 0; w < whose.size(); ++w) {
            result[whose[w]] = reach_of(run->wave, w, *watches[w].level);
        }
    }
    return result;
}

}  // namespace gapwright
