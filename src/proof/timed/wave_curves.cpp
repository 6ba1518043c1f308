#include "proof/timed/wave_curves.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/rest/shown.hpp"
#include "proof/timed/wave_answer.hpp"
#include "units/dimension.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

constexpr double thinning = 2e-4;  // of a curve's range: what points may be left out by

// A point is left out where straight lines from the last kept one to the next come near enough
// to every curve.
std::vector<std::size_t> kept_points(const std::vector<double>& times,
                                     const std::vector<WaveCurve>& curves,
                                     const std::vector<WaveCurve>& lights) {
    std::vector<std::pair<const std::vector<double>*, double>> all;
    for (const auto* list : {&curves, &lights}) {
        for (const auto& curve : *list) {
            const auto [low, high] = std::ranges::minmax(curve.values);
            if (high > low) all.emplace_back(&curve.values, thinning * (high - low));
        }
    }
    std::vector<std::size_t> kept = {0};
    for (std::size_t k = 1; k + 1 < times.size(); ++k) {
        const std::size_t from = kept.back();
        const std::size_t to = k + 1;
        const double span = times[to] - times[from];
        bool needed = !(span > 0);
        for (std::size_t p = from + 1; p < to && !needed; ++p) {
            const double share = (times[p] - times[from]) / span;
            for (const auto& [values, off] : all) {
                const double line = std::lerp((*values)[from], (*values)[to], share);
                if (std::abs((*values)[p] - line) > off) {
                    needed = true;
                    break;
                }
            }
        }
        if (needed) kept.push_back(k);
    }
    if (times.size() > 1) kept.push_back(times.size() - 1);
    return kept;
}

std::string gap_name(const Link& link, std::size_t gap) {
    for (std::size_t k = 0, g = 0; k < link.parts.size(); ++k) {
        if (!link.parts[k].is_gap()) continue;
        if (g++ == gap) return link.parts[k].name;
    }
    return {};
}

std::vector<WaveCurve> curves_of(const std::vector<Quantity>& quantities,
                                 const std::vector<WavePoint>& points) {
    std::vector<WaveCurve> curves;
    for (const auto& q : quantities) {
        curves.push_back({q.name, q.side, q.dimension, {}});
        for (const auto& at : points) curves.back().values.push_back(measure(q.probe, at.point));
    }
    return curves;
}

std::vector<WaveCurve> lights_of(const Link& link, const std::vector<Gap>& gaps,
                                 const std::vector<WavePoint>& points) {
    std::vector<WaveCurve> lights;
    for (std::size_t g = 0; g < gaps.size(); ++g) {
        const bool lux = std::holds_alternative<IlluminanceGap>(gaps[g].kind);
        lights.push_back({gap_name(link, g),
                          Side::output,
                          lux ? Dimension::illuminance : Dimension::current,
                          {}});
        for (const auto& at : points) lights.back().values.push_back(at.point.light[g]);
    }
    return lights;
}

template <class Value>
std::vector<Value> picked(const std::vector<Value>& all, const std::vector<std::size_t>& kept) {
    std::vector<Value> some;
    for (const std::size_t k : kept) some.push_back(all[k]);
    return some;
}

}  // namespace

std::vector<Quantity> quantities_of(const Link& link, const LinkCircuit& circuit) {
    std::vector<Quantity> quantities;
    for (const auto& shown : shown_voltages(link)) {
        quantities.push_back({shown.name, shown.probe.side, Dimension::voltage, shown.probe});
    }
    for (const auto& shown : shown_currents(link, circuit)) {
        if (shown.probe.ports.front().current.empty()) continue;  // a capacitor: not told
        quantities.push_back({shown.name, shown.probe.side, Dimension::current, shown.probe});
    }
    return quantities;
}

WaveCurves wave_curves(const Link& link, const LinkCircuit& circuit,
                       const std::vector<Quantity>& quantities,
                       const std::vector<WavePoint>& points) {
    std::vector<double> times;
    for (const auto& point : points) times.push_back(point.time);
    WaveCurves all{.times = std::move(times),
                   .curves = curves_of(quantities, points),
                   .lights = lights_of(link, circuit.circuit.gaps, points)};
    const auto kept = kept_points(all.times, all.curves, all.lights);
    all.times = picked(all.times, kept);
    for (auto* list : {&all.curves, &all.lights}) {
        for (auto& curve : *list) curve.values = picked(curve.values, kept);
    }
    return all;
}

}  // namespace gapwright
