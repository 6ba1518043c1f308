#include "bench/sessions/session_history.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/bench_record.hpp"
#include "bench/sessions/record_reading.hpp"
#include "link/meter.hpp"

namespace gapwright {
namespace {

constexpr std::size_t least_to_stand_apart = 5;
constexpr double far_apart = 3.5;
constexpr double deviations_of_median = 0.6745;  // a normal one's median absolute deviation

double most_error(const Meter& meter, MeasurementKind kind, double value) {
    return error_limit(meter, kind, value) + resolution(meter, kind, value);
}

bool differ(const Meter& meter, MeasurementKind kind, double a, double b) {
    if (std::isinf(a) || std::isinf(b)) return a != b;
    return std::abs(a - b) > most_error(meter, kind, a) + most_error(meter, kind, b);
}

double median_of(std::vector<double> values) {
    std::ranges::sort(values);
    const std::size_t half = values.size() / 2;
    if (values.size() % 2 == 1) return values[half];
    // Of what is over range with what is not, the lower.
    if (std::isinf(values[half])) return values[half - 1];
    return 0.5 * (values[half - 1] + values[half]);
}

void tell_apart(const Meter& meter, MeasurementKind kind, PooledReading& pooled) {
    std::vector<double> away;
    for (const auto& one : pooled.values) away.push_back(std::abs(one.value - pooled.median));
    if (away.size() < least_to_stand_apart || std::isinf(pooled.median)) return;
    // What the meter alone makes differ is no difference.
    const double usual = std::max(
        median_of(away), deviations_of_median * standard_error(meter, kind, pooled.median));
    for (std::size_t k = 0; k < away.size(); ++k) {
        pooled.values[k].apart = deviations_of_median * away[k] > far_apart * usual;
    }
}

}  // namespace

std::string specimen_of(const BenchRecord& record) {
    return record.specimen.empty() ? record.who : record.specimen;
}

SessionHistory history_of(const std::vector<PastSession>& sessions,
                          const std::vector<Measurement>& measurements, const Meter& meter,
                          const std::vector<ReadingBand>& bands) {
    SessionHistory history;
    struct Last {
        double value;
        std::size_t session;
    };
    std::map<std::string, std::map<std::size_t, Last>> last;  // by specimen and measurement
    for (std::size_t s = 0; s < sessions.size(); ++s) {
        const std::string specimen = specimen_of(sessions[s].record);
        if (!last.contains(specimen)) history.specimens.push_back(specimen);
        auto& own = last[specimen];
        for (const auto& reading : sessions[s].readings) {
            const auto before = own.find(reading.measurement);
            const MeasurementKind kind = measurements[reading.measurement].kind;
            if (before != own.end() && before->second.session != s &&
                differ(meter, kind, before->second.value, reading.value)) {
                history.changes.push_back({reading.measurement, before->second.value, reading.value,
                                           before->second.session, s});
            }
            own.insert_or_assign(reading.measurement, Last{reading.value, s});
        }
    }
    for (std::size_t m = 0; m < measurements.size(); ++m) {
        PooledReading pooled{.measurement = m, .band = bands[m], .values = {}};
        std::vector<double> values;
        for (const std::string& specimen : history.specimens) {
            const auto found = last[specimen].find(m);
            if (found == last[specimen].end()) continue;
            const double value = found->second.value;
            values.push_back(value);
            pooled.values.push_back({specimen, value, judge(bands[m], value)});
        }
        if (values.size() < 2) continue;
        pooled.lowest = std::ranges::min(values);
        pooled.highest = std::ranges::max(values);
        pooled.median = median_of(values);
        tell_apart(meter, measurements[m].kind, pooled);
        history.pooled.push_back(std::move(pooled));
    }
    return history;
}

}  // namespace gapwright
