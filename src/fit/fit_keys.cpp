#include "fit/fit_keys.hpp"

#include <algorithm>
#include <span>
#include <vector>
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "fit/fitted_law.hpp"
#include "fit/observation.hpp"

namespace gapwright {
namespace {

using M = Measured;

const std::vector<FitKey>& junction_keys() {
    static const std::vector<FitKey> keys = {
        {Key::forward, M::forward_voltage, 0.02, 100, true, 0, 0.04},
        {Key::ideality, M::forward_voltage, 0.8, 8, true, 0.3, 0.05},
        {Key::series_resistance, M::forward_voltage, 1e-4, 1e4, true, 1.2, 0.25},
        {Key::forward_slope, M::forward_voltage, -0.01, 5e-3, false, 1e-3, 0.1e-3, true},
    };
    return keys;
}

const std::vector<FitKey>& receiver_keys() {
    static const std::vector<FitKey> keys = {
        {Key::early_voltage, M::collector_current, 3, 3000, true, 0.7, 0.3, false, 0, true},
        {Key::knee_current, M::collector_current, 1e-4, 10, true, 0.7, 0.3, false, 0, true},
        {Key::collector_resistance, M::collector_current, 1e-2, 1e4, true, 0.9, 0.3},
        {Key::leak_current, M::collector_current, 1e-18, 1e-6, true, 1.5, 0.5, false, 0, true},
        {Key::base_collector_capacitance, M::rise_time, 1e-14, 1e-8, true, 0.7, 0.2},
    };
    return keys;
}

const std::vector<FitKey>& transfer_keys() {
    static const std::vector<FitKey> keys = {
        {Key::photocurrent_ratio, M::collector_current, 1e-8, 10, true, 0, 0.25},
        {Key::low_knee, M::collector_current, 1e-7, 1, true, 1.0, 0.3, false, 0, true},
        {Key::high_knee, M::collector_current, 1e-4, 100, true, 0.8, 0.3, false, 0, true},
        {Key::temperature_coefficient, M::collector_current, -0.04, 0.04, false, 0.005, 0.001,
         true},
        {Key::dark_current, M::dark_current, 1e-15, 1e-3, true, 0, 1.0},
    };
    return keys;
}

std::vector<FitKey> all_keys(Kind kind) {
    const auto joined = [](std::vector<FitKey> first, const std::vector<FitKey>& second) {
        first.insert(first.end(), second.begin(), second.end());
        return first;
    };
    const auto law = fitted_law(kind);
    if (!law) return {};
    switch (*law) {
        case FittedLaw::junction:
            return junction_keys();
        case FittedLaw::coupler:
            return joined(joined(junction_keys(), transfer_keys()), receiver_keys());
        case FittedLaw::phototransistor:
            return joined({{Key::sensitivity, M::collector_current, 1e-15, 1e3, true, 0, 0.25},
                           {Key::dark_current, M::dark_current, 1e-15, 1e-3, true, 0, 1.0}},
                          receiver_keys());
        case FittedLaw::light_resistor:
            return {{Key::resistance, M::resistance, 1e-3, 1e15, true, 0, 0.25},
                    {Key::gamma, M::resistance, 0.05, 3, true, 0.2, 0.07},
                    {Key::dark_resistance, M::resistance, 1, 1e15, true, 1.5, 0.7, false, 1e7}};
    }
    return {};
}

bool shows(const FitKey& key, std::span<const Observation> observations) {
    double coldest = 1e9;
    double hottest = 0;
    bool any = false;
    for (const auto& o : observations) {
        // A covered cell shows nothing of what light does to it.
        const bool covered = o.measured == Measured::resistance && o.illuminance == 0;
        if (covered && key.key != Key::dark_resistance) continue;
        const bool counts =
            o.measured == key.shown_by ||
            (key.shown_by == Measured::rise_time && o.measured == Measured::fall_time) ||
            (key.shown_by == Measured::collector_current && o.measured == Measured::relative_ctr);
        if (!counts) continue;
        any = true;
        coldest = std::min(coldest, o.temperature);
        hottest = std::max(hottest, o.temperature);
    }
    constexpr double varies = 5;  // K; own choice
    return any && (!key.with_temperature || hottest - coldest > varies);
}

}  // namespace

std::vector<FitKey> fit_keys(Kind kind, std::span<const Observation> observations) {
    std::vector<FitKey> keys = all_keys(kind);
    std::erase_if(keys, [&](const FitKey& key) { return !shows(key, observations); });
    // Normalised curves alone tell nothing of how much light there is: that stays as it was.
    const bool absolute = std::ranges::any_of(observations, [](const Observation& o) {
        return o.measured == Measured::collector_current;
    });
    std::erase_if(keys, [&](const FitKey& key) {
        return key.shown_by == Measured::collector_current && key.doubt == 0 && !absolute;
    });
    return keys;
}

}  // namespace gapwright
