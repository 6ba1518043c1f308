#include "bench/reasoning/suspicion.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <numeric>
#include <span>
#include <utility>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_scale.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/specimen_kernel.hpp"
#include "link/meter.hpp"

namespace gapwright {
namespace {

constexpr double else_prior = 0.08;     // of a faulty link, before anything was measured
constexpr double else_like_none = 0.3;  // of its readings, those like no known fault's
constexpr double else_width = 0.15;     // on the scale: how far from a known fault's
constexpr double plausible = 18;        // on the scale: how wide readings of anything lie
constexpr std::size_t least_specimens = 20;

double doubt_of(const FaultReadings& readings, std::size_t measurement) {
    return readings.doubt.empty() ? 0 : readings.doubt[measurement];
}

// Where the range of a junction test may end that nobody states, V (common practice: 2 V or 3 V).
constexpr double least_junction_range = 1.9;

}  // namespace

Suspicion::Suspicion(const FaultDictionary& dictionary, double no_fault)
    : dictionary_(dictionary), unexplained_prior_(else_prior * (1 - no_fault)) {
    double all = 0;
    const auto weight = [&](std::size_t f) {
        const bool unseen = f < dictionary.unseen.size() && dictionary.unseen[f];
        return dictionary.faults[f].is_none() || unseen ? 0 : dictionary.faults[f].weight;
    };
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) all += weight(f);
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
        prior_.push_back(dictionary.faults[f].is_none()
                             ? no_fault
                             : weight(f) / all * (1 - no_fault) * (1 - else_prior));
    }
    weigh({});
}

void Suspicion::weigh(const std::vector<TakenReading>& readings) {
    readings_ = readings;
    scaled_.clear();
    errors_.clear();
    for (const TakenReading& r : readings) {
        const MeasurementKind kind = dictionary_.measurements[r.measurement].kind;
        scaled_.push_back(scaled(dictionary_.meter, kind, r.value));
        errors_.push_back(scaled_error(dictionary_.meter, kind, r.value));
    }
    else_logs_ = something_else();
    states_.assign(dictionary_.faults.size(), {});
    posterior_.assign(dictionary_.faults.size(), 0);
    std::vector<double> logs;
    for (std::size_t f = 0; f < dictionary_.faults.size(); ++f) {
        if (dictionary_.faults[f].loose) {
            weigh_loose(f, states_[f]);
        } else {
            weigh_fault(f, states_[f]);
        }
        logs.push_back(std::log(prior_[f]) + states_[f].log_density);
    }
    logs.push_back(std::log(unexplained_prior_) +
                   std::accumulate(else_logs_.begin(), else_logs_.end(), 0.0));
    const double most = std::ranges::max(logs);
    double sum = 0;
    for (const double l : logs) sum += std::exp(l - most);
    for (std::size_t f = 0; f < posterior_.size(); ++f) {
        posterior_[f] = std::exp(logs[f] - most) / sum;
    }
    unexplained_ = std::exp(logs.back() - most) / sum;
    log_evidence_ = most + std::log(sum);
}

Suspicion::Values Suspicion::values_of(std::size_t fault, std::size_t reading) const {
    const std::size_t m = readings_[reading].measurement;
    const auto one = dictionary_.readings[fault].of(m);
    const auto other = dictionary_.readings[fault].by_other(m);
    Values values(one.begin(), one.end());
    // Meters lie anywhere between the two sorts: what lies between their readings goes with both.
    for (std::size_t k = 0; k < values.size(); ++k) {
        const auto [low, high] = std::minmax(one[k], other[k]);
        values[k] = std::clamp(scaled_[reading], low, high);
    }
    const Meter& meter = dictionary_.meter;
    const MeasurementKind kind = dictionary_.measurements[m].kind;
    const bool over_range = std::isinf(readings_[reading].value);
    if (kind != MeasurementKind::junction || meter.junction_range || !over_range) return values;
    const double ends = scaled(meter, kind, least_junction_range);
    for (double& value : values) {
        if (value > ends) value = scaled_[reading];
    }
    return values;
}

std::vector<double> Suspicion::something_else() const {
    constexpr std::size_t every = 8;  // specimens of a fault stand close
    std::vector<double> logs;
    for (std::size_t r = 0; r < readings_.size(); ++r) {
        const double width = std::hypot(else_width, errors_[r]);
        double like_known = 0;
        double all = 0;
        for (std::size_t f = 0; f < dictionary_.faults.size(); ++f) {
            const FaultReadings& known = dictionary_.readings[f];
            const bool counts =
                known.specimens >= least_specimens && known.knows(readings_[r].measurement);
            if (!counts) continue;
            const Values values = values_of(f, r);
            double own = 0;
            std::size_t count = 0;
            for (std::size_t k = 0; k < values.size(); k += every, ++count) {
                const double away = (scaled_[r] - values[k]) / width;
                own += std::exp(-0.5 * away * away);
            }
            like_known += prior_[f] * own / static_cast<double>(count);
            all += prior_[f];
        }
        like_known /= all * width * std::sqrt(2 * std::numbers::pi);
        logs.push_back(std::log((1 - else_like_none) * like_known + else_like_none / plausible));
    }
    return logs;
}

ReadAmongSpecimens Suspicion::among(std::size_t fault, std::size_t reading) const {
    return {.reading = scaled_[reading],
            .error = errors_[reading],
            .values = values_of(fault, reading)};
}

// The density of one reading by itself among specimens: a kernel at each, as wide as Scott's rule
// says for one dimension, the meter's error and the model's deviation in it.
double Suspicion::density_of(std::size_t fault, std::size_t reading) const {
    const Values own = values_of(fault, reading);
    const auto count = static_cast<double>(own.size());
    double mean = 0;
    for (const double v : own) mean += v / count;
    double variance = 0;
    for (const double v : own) variance += (v - mean) * (v - mean) / (count - 1);
    const double width2 = variance * std::pow(count, -0.4) + errors_[reading] * errors_[reading] +
                          model_deviation * model_deviation;
    double sum = 0;
    for (const double v : own) {
        const double off = scaled_[reading] - v;
        sum += std::exp(-0.5 * off * off / width2);
    }
    return sum / count / std::sqrt(2 * std::numbers::pi * width2);
}

// Each reading is one of the open joint or one of a good link, as often; which, nothing tells of
// the next.
void Suspicion::weigh_loose(std::size_t fault, SpecimenKernel& state) const {
    const FaultReadings& open = dictionary_.readings[fault];
    const FaultReadings& whole = dictionary_.readings.front();
    if (open.specimens < least_specimens || whole.specimens < least_specimens) {
        state.log_density = -std::numeric_limits<double>::infinity();
        return;
    }
    const std::size_t all = open.specimens + whole.specimens;
    state.weights.assign(all, 0.5 / static_cast<double>(open.specimens));
    std::fill(state.weights.begin() + static_cast<std::ptrdiff_t>(open.specimens),
              state.weights.end(), 0.5 / static_cast<double>(whole.specimens));
    for (std::size_t r = 0; r < readings_.size(); ++r) {
        const std::size_t m = readings_[r].measurement;
        state.log_density += open.knows(m) && whole.knows(m)
                                 ? std::log(0.5 * density_of(fault, r) + 0.5 * density_of(0, r))
                                 : else_logs_[r];
    }
}

void Suspicion::weigh_fault(std::size_t fault, SpecimenKernel& state) const {
    const FaultReadings& known = dictionary_.readings[fault];
    if (known.specimens < least_specimens) {
        state.log_density = -std::numeric_limits<double>::infinity();
        return;
    }
    // What is not known of the fault is as likely as that of something else.
    std::vector<ReadAmongSpecimens> readings;
    double unknown = 0;
    for (std::size_t k = 0; k < readings_.size(); ++k) {
        if (known.knows(readings_[k].measurement)) {
            readings.push_back(among(fault, k));
        } else {
            unknown += else_logs_[k];
        }
    }
    state = specimen_kernel(readings, known.specimens);
    state.log_density += unknown;
}

std::vector<double> Suspicion::of_suspects() const {
    std::vector<double> sums(dictionary_.suspects.size(), 0);
    for (std::size_t f = 0; f < posterior_.size(); ++f) {
        sums[dictionary_.suspect_of[f]] += posterior_[f];
    }
    return sums;
}

std::span<const double> Suspicion::specimen_weights(std::size_t fault) const {
    return states_[fault].weights;
}

double Suspicion::expectation(std::size_t fault, std::span<const double> values) const {
    return given(states_[fault], values).mean;
}

Prediction Suspicion::predict_loose(std::size_t fault, std::size_t measurement) const {
    const auto open = dictionary_.readings[fault].of(measurement);
    const auto whole = dictionary_.readings.front().of(measurement);
    std::vector<double> centres(open.begin(), open.end());
    centres.insert(centres.end(), whole.begin(), whole.end());
    const MeasurementKind kind = dictionary_.measurements[measurement].kind;
    const double error = scaled_error(dictionary_.meter, kind, unscaled(kind, whole.front()));
    const double doubt = doubt_of(dictionary_.readings[fault], measurement);
    return {.centres = std::move(centres),
            .weights = states_[fault].weights,
            .deviation = std::hypot(error, doubt, model_deviation)};
}

Prediction Suspicion::predict(std::size_t fault, std::size_t measurement) const {
    if (!dictionary_.readings[fault].knows(measurement)) {
        return {.centres = std::vector<double>(states_[fault].weights.size(), 0),
                .weights = states_[fault].weights,
                .deviation = 0.5 * plausible};
    }
    if (dictionary_.faults[fault].loose) return predict_loose(fault, measurement);
    GivenReadings there = given(states_[fault], dictionary_.readings[fault].of(measurement));
    const MeasurementKind kind = dictionary_.measurements[measurement].kind;
    const double error = scaled_error(dictionary_.meter, kind, unscaled(kind, there.mean));
    const double doubt = doubt_of(dictionary_.readings[fault], measurement);
    return {.centres = std::move(there.centres),
            .weights = states_[fault].weights,
            .deviation = std::sqrt(there.variance + error * error + doubt * doubt +
                                   model_deviation * model_deviation)};
}

}  // namespace gapwright
