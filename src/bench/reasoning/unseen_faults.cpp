#include "bench/reasoning/unseen_faults.hpp"

#include <Eigen/Dense>
#include <cmath>
#include <cstddef>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_scale.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/specimen_kernel.hpp"

namespace gapwright {
namespace {

constexpr double seen = 1;  // D², less what so few specimens have by chance (own choice)
constexpr double doubtful =
    0.5;  // on the scale: a reading that hangs so on the meter tells nothing

Eigen::VectorXd mean_of(const FaultReadings& readings, const std::vector<std::size_t>& rows) {
    Eigen::VectorXd mean(static_cast<Eigen::Index>(rows.size()));
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const auto values = readings.of(rows[r]);
        double sum = 0;
        for (const double value : values) sum += value;
        mean[static_cast<Eigen::Index>(r)] = sum / static_cast<double>(values.size());
    }
    return mean;
}

// The measurements that good links are known by.
std::vector<std::size_t> rows_of(const FaultReadings& good, std::size_t measurements) {
    std::vector<std::size_t> rows;
    for (std::size_t m = 0; m < measurements; ++m) {
        const bool doubted = !good.doubt.empty() && good.doubt[m] > doubtful;
        if (good.knows(m) && !doubted) rows.push_back(m);
    }
    return rows;
}

}  // namespace

std::vector<bool> unseen_faults(const FaultDictionary& dictionary) {
    const FaultReadings& good = dictionary.readings.front();
    std::vector<bool> unseen(dictionary.faults.size(), false);
    const auto rows = rows_of(good, dictionary.measurements.size());
    if (good.specimens < 2 || rows.empty()) return unseen;
    const auto d = static_cast<Eigen::Index>(rows.size());
    const Eigen::VectorXd mean = mean_of(good, rows);
    Eigen::MatrixXd centred(d, static_cast<Eigen::Index>(good.specimens));
    for (Eigen::Index r = 0; r < d; ++r) {
        const auto values = good.of(rows[static_cast<std::size_t>(r)]);
        for (std::size_t k = 0; k < values.size(); ++k) {
            centred(r, static_cast<Eigen::Index>(k)) = values[k] - mean[r];
        }
    }
    Eigen::MatrixXd covariance =
        centred * centred.transpose() / static_cast<double>(good.specimens - 1);
    for (Eigen::Index r = 0; r < d; ++r) {
        const std::size_t m = rows[static_cast<std::size_t>(r)];
        const MeasurementKind kind = dictionary.measurements[m].kind;
        const double error = scaled_error(dictionary.meter, kind, unscaled(kind, mean[r]));
        covariance(r, r) += error * error + model_deviation * model_deviation;
    }
    const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
    for (std::size_t f = 1; f < dictionary.faults.size(); ++f) {
        const FaultReadings& own = dictionary.readings[f];
        bool known = own.specimens > 0;
        for (const std::size_t m : rows) known = known && own.knows(m);
        if (!known) continue;
        const Eigen::VectorXd away = factor.matrixL().solve(mean_of(own, rows) - mean);
        const double chance = static_cast<double>(d) / static_cast<double>(own.specimens);
        unseen[f] = away.squaredNorm() - chance < seen;
    }
    return unseen;
}

}  // namespace gapwright
