#include "bench/reasoning/fault_pairs.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "bench/faults/fault.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_scale.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"

namespace gapwright {
namespace {

constexpr std::size_t likely_faults = 14;
constexpr double second_fault = 0.02;  // how likely a second one is, given a first (own choice)
// No reading counts against a fault by more than this, as a logarithm: the other fault may have
// made it.
constexpr double most_against = -6;

// How well a fault explains the readings, each by itself and none of them all too badly.
double merit(const FaultDictionary& dictionary, std::size_t fault,
             const std::vector<TakenReading>& readings) {
    double sum = std::log(dictionary.faults[fault].weight);
    for (const TakenReading& r : readings) {
        if (!dictionary.readings[fault].knows(r.measurement)) continue;
        const auto values = dictionary.readings[fault].of(r.measurement);
        const MeasurementKind kind = dictionary.measurements[r.measurement].kind;
        const double y = scaled(dictionary.meter, kind, r.value);
        const double error = scaled_error(dictionary.meter, kind, r.value);
        const auto [low, high] = std::ranges::minmax(values);
        const double width = 0.25 * (high - low) + error + 1e-3;
        const double away = std::max({0.0, low - y, y - high}) / width;
        sum += std::max(most_against, -std::log(width + (high - low)) - 0.5 * away * away);
    }
    return sum;
}

bool share_a_part(const Fault& a, const Fault& b) {
    return std::ranges::any_of(a.parts, [&](std::size_t part) {
        return std::ranges::find(b.parts, part) != b.parts.end();
    });
}

}  // namespace

std::optional<FaultDictionary> dictionary_of_pairs(const Link& link, const Suspicion& suspicion,
                                                   const std::vector<TakenReading>& readings,
                                                   const EngineOptions& options) {
    const FaultDictionary& single = suspicion.dictionary();
    std::vector<std::size_t> order;
    std::vector<double> merits(single.faults.size());
    for (std::size_t f = 0; f < single.faults.size(); ++f) {
        if (single.faults[f].is_none() || single.faults[f].loose) continue;
        if (single.readings[f].specimens == 0) continue;
        merits[f] = merit(single, f, readings);
        order.push_back(f);
    }
    std::ranges::stable_sort(order, std::greater(), [&](std::size_t f) { return merits[f]; });
    if (order.size() > likely_faults) order.resize(likely_faults);
    if (order.size() < 2) return std::nullopt;

    FaultDictionary result = single;
    std::vector<Fault> pairs;
    for (std::size_t a = 0; a < order.size(); ++a) {
        for (std::size_t b = a + 1; b < order.size(); ++b) {
            const Fault& first = single.faults[order[a]];
            const Fault& second = single.faults[order[b]];
            if (first.suspect == second.suspect || share_a_part(first, second)) continue;
            pairs.push_back(both(first, second));
            pairs.back().weight *= second_fault;
        }
    }
    if (pairs.empty()) return std::nullopt;
    add_faults(link, std::move(pairs), options, result);
    return options.stop.stop_requested() ? std::nullopt : std::optional(std::move(result));
}

}  // namespace gapwright
