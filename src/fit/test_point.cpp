#include "fit/test_point.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "units/quantity.hpp"

namespace gapwright::fitting {
namespace {

// Where most of the range of a setting lies: the base card's own where it was measured there, else
// the middle one of those measured.
double chosen(std::vector<double> measured, std::optional<double> stated) {
    if (measured.empty()) return stated.value_or(0);  // only a covered cell was measured
    std::ranges::sort(measured);
    // (an instrument's 20 mA is as good as 19.9998 mA)
    constexpr double near = 1.02;
    if (stated && *stated * near >= measured.front() && *stated <= measured.back() * near) {
        return *stated;
    }
    return measured[measured.size() / 2];
}

std::vector<double> settings(std::span<const Observation> observations, Measured measured,
                             double Observation::* where) {
    std::vector<double> result;
    for (const auto& o : observations) {
        if (o.measured == measured && o.*where > 0) result.push_back(o.*where);
    }
    return result;
}

std::optional<double> condition(const Description& base, Key key, std::size_t k = 0) {
    const auto* figure = base.find(key);
    if (!figure || figure->conditions.size() <= k) return std::nullopt;
    return figure->conditions[k];
}

const Observation* nearest(std::span<const Observation> observations, Measured measured,
                           double Observation::* where, double wanted) {
    const Observation* best = nullptr;
    const auto away = [&](const Observation& o) { return std::abs(std::log(o.*where / wanted)); };
    for (const auto& o : observations) {
        if (o.measured != measured || !(o.*where > 0)) continue;
        if (!best || away(o) < away(*best)) best = &o;
    }
    return best;
}

}  // namespace

TestPoint test_point(const Description& base, std::span<const Observation> observations) {
    TestPoint at;
    const bool coupler = base.kind == Kind::coupler;
    auto lit = settings(observations, Measured::collector_current, &Observation::forward_current);
    if (lit.empty()) {
        lit = settings(observations, Measured::relative_ctr, &Observation::reference_current);
    }
    auto currents =
        settings(observations, Measured::forward_voltage, &Observation::forward_current);
    if (coupler && !lit.empty()) {
        at.current = chosen(std::move(lit), condition(base, Key::ctr));
    } else {
        at.current = chosen(std::move(currents), condition(base, Key::forward));
    }
    auto volts = settings(observations, Measured::collector_current,
                          &Observation::collector_emitter_voltage);
    if (volts.empty()) {
        volts =
            settings(observations, Measured::relative_ctr, &Observation::collector_emitter_voltage);
    }
    at.voltage = chosen(std::move(volts), condition(base, Key::ctr, 1));
    at.irradiance =
        chosen(settings(observations, Measured::collector_current, &Observation::irradiance),
               condition(base, Key::sensitivity));
    at.illuminance = chosen(settings(observations, Measured::resistance, &Observation::illuminance),
                            condition(base, Key::resistance));
    return at;
}

Description prepared_card(Description card, const TestPoint& at,
                          std::span<const Observation> observations) {
    for (auto& [key, figure] : card.figures) figure.spread = exactly(figure.spread.nominal);
    if (const auto* o = nearest(observations, Measured::forward_voltage,
                                &Observation::forward_current, at.current)) {
        card = slope_stated(forward_at(std::move(card), at.current), at.current);
        card.figures[Key::forward].spread = exactly(o->value);
        // The series resistance must leave something for the junction.
        auto& series = card.figures[Key::series_resistance].spread;
        series = exactly(std::min(series.nominal, 0.5 * o->value / at.current));
    }
    if (const auto* o = nearest(observations, Measured::resistance, &Observation::illuminance,
                                at.illuminance)) {
        auto& figure = card.figures[Key::resistance];
        figure.conditions = {at.illuminance};
        figure.spread = exactly(
            o->value * std::pow(at.illuminance / o->illuminance, -card.nominal(Key::gamma)));
    }
    return card;
}

double moved_to(const Description& base, Key key, const TestPoint& at) {
    const auto* figure = base.find(key);
    if (!figure || !(figure->spread.nominal > 0)) return 1;
    if (key == Key::forward && at.current > 0) {
        return forward_at(base, at.current).nominal(Key::forward) / figure->spread.nominal;
    }
    if (key == Key::resistance && at.illuminance > 0) {
        return std::pow(at.illuminance / figure->conditions[0], -base.nominal(Key::gamma));
    }
    if (key == Key::sensitivity)
        return 1 / figure->conditions[0];  // in A per W/m², as it is fitted
    if (key != Key::ctr) return 1;
    const auto there = value_at(base, key, {at.current, at.voltage});
    return there ? *there / figure->spread.nominal : 1;
}

}  // namespace gapwright::fitting
