#include "bench/reasoning/specimen_kernel.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <span>
#include <vector>

namespace gapwright {
namespace {

using RowMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

}  // namespace

SpecimenKernel specimen_kernel(const std::vector<ReadAmongSpecimens>& readings,
                               std::size_t specimens) {
    SpecimenKernel result;
    const auto d = static_cast<Eigen::Index>(readings.size());
    const auto size = static_cast<Eigen::Index>(specimens);
    const auto count = static_cast<double>(specimens);
    result.width2 = std::pow(count, -2.0 / (static_cast<double>(d) + 4));
    if (d == 0) {
        result.weights.assign(specimens, 1 / count);
        return result;
    }
    RowMatrix centred(d, size);
    RowMatrix misses(d, size);  // reading − centre; centres are drawn towards the mean
    for (Eigen::Index r = 0; r < d; ++r) {
        const auto& read = readings[static_cast<std::size_t>(r)];
        const Eigen::Map<const Eigen::RowVectorXd> values(read.values.data(), size);
        const double mean = values.mean();
        centred.row(r) = values.array() - mean;
        misses.row(r) = read.reading - mean - std::sqrt(1 - result.width2) * centred.row(r).array();
    }
    Eigen::MatrixXd kernel = result.width2 / (count - 1) * centred * centred.transpose();
    for (Eigen::Index r = 0; r < d; ++r) {
        const double e = readings[static_cast<std::size_t>(r)].error;
        kernel(r, r) += e * e + model_deviation * model_deviation;
    }
    const Eigen::LLT<Eigen::MatrixXd> factor(kernel);
    const RowMatrix solved = factor.matrixL().solve(misses);
    const Eigen::VectorXd squares = solved.colwise().squaredNorm().transpose();
    const double nearest = squares.minCoeff();
    double sum = 0;
    for (Eigen::Index k = 0; k < size; ++k) {
        const double w = std::exp(-0.5 * (squares[k] - nearest));
        result.weights.push_back(w);
        sum += w;
    }
    for (double& w : result.weights) w /= sum;
    const Eigen::MatrixXd lower = factor.matrixL();
    const double log_root = lower.diagonal().array().log().sum();
    result.log_density = std::log(sum / count) - 0.5 * nearest - log_root -
                         0.5 * static_cast<double>(d) * std::log(2 * std::numbers::pi);
    const RowMatrix pulls = factor.solve(misses);
    const RowMatrix inverse = factor.solve(Eigen::MatrixXd::Identity(d, d));
    result.centred.assign(centred.data(), centred.data() + centred.size());
    result.pulls.assign(pulls.data(), pulls.data() + pulls.size());
    result.inverse.assign(inverse.data(), inverse.data() + inverse.size());
    return result;
}

GivenReadings given(const SpecimenKernel& kernel, std::span<const double> values) {
    const auto size = static_cast<Eigen::Index>(values.size());
    const auto d = static_cast<Eigen::Index>(kernel.centred.size() / values.size());
    const Eigen::Map<const Eigen::VectorXd> own(values.data(), size);
    const double mean = own.mean();
    const Eigen::VectorXd centred = own.array() - mean;
    const double scale = kernel.width2 / (static_cast<double>(values.size()) - 1);
    double variance = scale * centred.squaredNorm();
    Eigen::VectorXd centres = mean + std::sqrt(1 - kernel.width2) * centred.array();
    if (d > 0) {
        const Eigen::Map<const RowMatrix> rows(kernel.centred.data(), d, size);
        const Eigen::Map<const RowMatrix> inverse(kernel.inverse.data(), d, d);
        const Eigen::Map<const RowMatrix> pulls(kernel.pulls.data(), d, size);
        const Eigen::VectorXd cross = scale * rows * centred;
        centres += pulls.transpose() * cross;
        variance = std::max(0.0, variance - cross.dot(inverse * cross));
    }
    const Eigen::Map<const Eigen::VectorXd> weights(kernel.weights.data(), size);
    return {.centres = {centres.begin(), centres.end()},
            .variance = variance,
            .mean = weights.dot(centres)};
}

}  // namespace gapwright
