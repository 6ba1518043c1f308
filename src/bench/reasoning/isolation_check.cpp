#include "bench/reasoning/isolation_check.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "link/meter.hpp"

namespace gapwright {
namespace {

bool from_all_to_all(const Measurement& m) {
    return m.all_input && m.all_output;
}

std::optional<double> taken(const std::vector<TakenReading>& readings, std::size_t m) {
    // The last counts: it was asked for again.
    const auto found =
        std::find_if(readings.rbegin(), readings.rend(),
                     [m](const TakenReading& reading) { return reading.measurement == m; });
    return found == readings.rend() ? std::nullopt : std::optional(found->value);
}

}  // namespace

bool is_a_way_across(const Measurement& m, double value) {
    return m.kind == MeasurementKind::insulation ? value < least_insulation : std::isfinite(value);
}

IsolationCheck check_isolation(const std::vector<Measurement>& measurements, const Meter& meter,
                               const std::vector<TakenReading>& readings,
                               const std::vector<std::size_t>& not_measurable) {
    IsolationCheck check{.whole = true, .begun = false, .across = {}, .next = {}};
    const auto ask = [&](std::size_t m) {
        const bool can_be = std::ranges::find(not_measurable, m) == not_measurable.end();
        if (can_be && !check.next) check.next = m;
    };
    std::optional<std::size_t> least;
    for (std::size_t m = 0; m < measurements.size(); ++m) {
        if (!crosses_gap(measurements[m]) || !from_all_to_all(measurements[m])) continue;
        const auto value = taken(readings, m);
        check.begun = check.begun || value.has_value();
        if (!value) {
            check.whole = false;
            ask(m);
        } else if (is_a_way_across(measurements[m], *value) &&
                   (!check.across || *value < check.across->resistance)) {
            check.across = WayAcross{.resistance = *value};
            least = m;
        }
    }
    // A way that was found from one node only is one all the same.
    for (std::size_t m = 0; m < measurements.size(); ++m) {
        if (!crosses_gap(measurements[m]) || from_all_to_all(measurements[m])) continue;
        const auto value = taken(readings, m);
        if (!value || !is_a_way_across(measurements[m], *value) || least) continue;
        if (!check.across || *value < check.across->resistance) {
            check.across = WayAcross{.resistance = *value};
        }
    }
    if (!check.across) return check;
    check.next.reset();
    for (std::size_t m = 0; m < measurements.size(); ++m) {
        const Measurement& of = measurements[m];
        if (!crosses_gap(of) || from_all_to_all(of)) continue;
        const auto value = taken(readings, m);
        if (!value) {
            ask(m);
            continue;
        }
        // Either reading has its error and its last place; and leads and joints half an ohm.
        const double lowest = check.across->resistance;
        const auto off = [&](double ohms) {
            return error_limit(meter, MeasurementKind::isolation, ohms) +
                   resolution(meter, MeasurementKind::isolation, ohms);
        };
        if (!std::isfinite(*value) || *value > lowest + off(lowest) + off(*value) + 0.5) continue;
        if (of.all_output) check.across->input.push_back(of.plus);
        if (of.all_input) check.across->output.push_back(of.minus);
    }
    return check;
}

}  // namespace gapwright
