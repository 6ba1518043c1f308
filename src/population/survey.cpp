#include "population/survey.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>
#include "population/engine.hpp"
#include "population/specimen.hpp"

namespace gapwright {
namespace {

constexpr std::size_t pilots = 1000;  // specimens that tell where a histogram lies
constexpr std::size_t bins = 256;
constexpr std::size_t first_values = 100;
constexpr double infinity = std::numeric_limits<double>::infinity();

// What one worker has counted; all workers' together are the survey, whoever counted what.
struct Count {
    std::vector<Extent> extents;
    std::vector<std::size_t> kept;
    std::vector<Histogram> histograms;
};

void widen(Extent& extent, const Extent& other) {
    if (other.lowest < extent.lowest ||
        (other.lowest == extent.lowest && other.lowest_specimen < extent.lowest_specimen)) {
        extent.lowest = other.lowest;
        extent.lowest_specimen = other.lowest_specimen;
    }
    if (other.highest > extent.highest ||
        (other.highest == extent.highest && other.highest_specimen < extent.highest_specimen)) {
        extent.highest = other.highest;
        extent.highest_specimen = other.highest_specimen;
    }
}

// Room for the values of the pilots and half as much again on either side.
Histogram histogram_about(const Measurements& pilot, std::size_t measure) {
    double low = infinity;
    double high = -infinity;
    for (std::size_t k = 0; k < pilot.outcome.solved; ++k) {
        const double value = pilot.at(k, measure);
        if (std::isnan(value)) continue;
        low = std::min(low, value);
        high = std::max(high, value);
    }
    if (!(low < high)) return {.low = low, .high = high, .counts = {}};
    const double room = 0.5 * (high - low);
    return {.low = low - room, .high = high + room, .counts = std::vector<std::uint64_t>(bins)};
}

void count_group(const MeasuredGroup& group, const std::vector<Watch>& watches, Count& count) {
    for (std::size_t m = 0; m < count.extents.size(); ++m) {
        Extent& extent = count.extents[m];
        const double* row = group.measured + m * group.width;
        for (std::size_t lane = 0; lane < group.count; ++lane) {
            // Rarely true once a few specimens have been seen.
            if (row[lane] <= extent.lowest || row[lane] >= extent.highest) [[unlikely]] {
                const std::size_t number = group.first + lane;
                widen(extent, {row[lane], row[lane], number, number});
            }
        }
    }
    for (std::size_t w = 0; w < watches.size(); ++w) {
        const Watch& watch = watches[w];
        for (std::size_t lane = 0; lane < group.count; ++lane) {
            const double value = group.at(lane, watch.measure);
            if (std::isnan(value)) continue;
            const bool kept = (!watch.at_least || value >= *watch.at_least) &&
                              (!watch.at_most || value <= *watch.at_most);
            count.kept[w] += kept ? 1 : 0;
            count.histograms[w].add(value);
        }
    }
}

}  // namespace

void Histogram::add(double value) {
    if (counts.empty()) return;
    const auto size = static_cast<double>(counts.size());
    const double place = (value - low) / (high - low) * size;
    ++counts[static_cast<std::size_t>(std::clamp(place, 0.0, size - 1))];
}

Survey survey(const Engine& engine, const SpecimenSource& source, const std::vector<Watch>& watches,
              const EngineOptions& options) {
    Survey result;
    result.specimens = source.count;
    result.watched.resize(watches.size());
    SpecimenSource pilot_source = source;
    pilot_source.count = std::min(source.count, pilots);
    EngineOptions silent = options;
    silent.progress = {};
    const Measurements pilot = measure_all(engine, pilot_source, silent);

    Count nothing{std::vector<Extent>(engine.measures(), Extent{infinity, -infinity, 0, 0}),
                  std::vector<std::size_t>(watches.size(), 0),
                  {}};
    for (const auto& watch : watches) {
        nothing.histograms.push_back(histogram_about(pilot, watch.measure));
    }
    std::vector<Count> counts(worker_count(options), nothing);
    result.outcome = engine.run(
        source,
        [&](std::size_t worker, const MeasuredGroup& group) {
            count_group(group, watches, counts[worker]);
        },
        options);

    result.specimens = result.outcome.solved;  // fewer where the run was stopped
    result.extents = nothing.extents;
    for (std::size_t w = 0; w < watches.size(); ++w) {
        result.watched[w].histogram = nothing.histograms[w];
        const std::size_t told = std::min(pilot_source.count, first_values);
        for (std::size_t k = 0; k < told; ++k) {
            result.watched[w].first.push_back(pilot.at(k, watches[w].measure));
        }
    }
    for (const auto& count : counts) {
        for (std::size_t m = 0; m < engine.measures(); ++m) {
            widen(result.extents[m], count.extents[m]);
        }
        for (std::size_t w = 0; w < watches.size(); ++w) {
            result.watched[w].kept += count.kept[w];
            auto& bars = result.watched[w].histogram.counts;
            for (std::size_t b = 0; b < bars.size(); ++b) bars[b] += count.histograms[w].counts[b];
        }
    }
    return result;
}

}  // namespace gapwright
