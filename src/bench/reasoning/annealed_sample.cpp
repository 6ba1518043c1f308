#include "bench/reasoning/annealed_sample.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <cstddef>
#include <functional>
#include <numbers>
#include <numeric>
#include <optional>
#include <random>
#include <utility>
#include <vector>

namespace gapwright {
namespace {

constexpr double left_each_step = 0.5;  // effective samples that a step of the error leaves
// A move's length against the cloud's spread for d unknowns is 2.38/√d at first (Gelman, Roberts &
// Gilks 1996), then whatever lets about this share of moves through.
constexpr double first_length = 2.38;
constexpr double wanted_moves = 0.25;

using Matrix = Eigen::MatrixXd;

double uniform(std::mt19937_64& random) {
    return (static_cast<double>(random() >> 11U) + 0.5) * 0x1.0p-53;
}
double normal(std::mt19937_64& random) {
    return std::numbers::sqrt2 * boost::math::erf_inv(2 * uniform(random) - 1);
}

using Misses = std::function<std::vector<double>(const std::vector<std::vector<double>>&)>;

// Works in the unknowns' normal scores: what is uniform in its range is a standard Gaussian there.
class Annealing {
  public:
    Annealing(const std::vector<UnknownRange>& unknowns, const Misses& misses,
              const AnnealingOptions& options)
        : unknowns_(unknowns), misses_(misses), options_(options), random_(options.seed) {}

    std::optional<AnnealedSample> run() {
        const auto d = static_cast<Eigen::Index>(unknowns_.size());
        const auto n = static_cast<Eigen::Index>(options_.samples);
        length_ = first_length / std::sqrt(static_cast<double>(d));
        scores_ = gaussian(d, n);
        look(scores_, squares_, priors_);
        if (std::ranges::none_of(squares_, [](double s) { return std::isfinite(s); })) {
            return std::nullopt;
        }
        for (int step = 0; step < options_.most_steps && sharpness_ < 1; ++step) {
            sharpen();
            const int moves = sharpness_ < 1 ? options_.moves : options_.last_moves;
            for (int k = 0; k < moves; ++k) {
                if (options_.stop && options_.stop()) return std::nullopt;
                move();
            }
        }
        return AnnealedSample{.values = values_of(scores_),
                              .widening = 1 / std::sqrt(std::max(sharpness_, 1e-12))};
    }

  private:
    Matrix gaussian(Eigen::Index rows, Eigen::Index columns) {
        Matrix z(rows, columns);
        for (double& score : z.reshaped()) score = normal(random_);
        return z;
    }

    std::vector<std::vector<double>> values_of(const Matrix& scores) const {
        std::vector<std::vector<double>> values(unknowns_.size());
        for (std::size_t u = 0; u < unknowns_.size(); ++u) {
            for (const double score : scores.row(static_cast<Eigen::Index>(u))) {
                const double share = 0.5 * std::erfc(-score / std::numbers::sqrt2);
                values[u].push_back(std::lerp(unknowns_[u].lowest, unknowns_[u].highest, share));
            }
        }
        return values;
    }

    // What is observed of samples, and their densities before that, as logarithms.
    void look(const Matrix& scores, std::vector<double>& squares,
              std::vector<double>& priors) const {
        const auto values = values_of(scores);
        squares = misses_(values);
        priors.assign(squares.size(), 0);
        for (std::size_t k = 0; k < squares.size(); ++k) {
            if (!std::isfinite(squares[k])) squares[k] = INFINITY;
            priors[k] = -0.5 * scores.col(static_cast<Eigen::Index>(k)).squaredNorm();
            for (std::size_t u = 0; u < unknowns_.size(); ++u) {
                const auto& density = unknowns_[u].log_density;
                if (density) priors[k] += density(values[u][k]);
            }
        }
    }

    // Weights of the samples when 1/widening² grows by so much.
    std::vector<double> weights(double more) const {
        const double least = std::ranges::min(squares_);
        std::vector<double> result;
        double sum = 0;
        for (std::size_t k = 0; k < squares_.size(); ++k) {
            double log = -0.5 * more * (squares_[k] - least);
            // Scores are drawn as if all were uniform; what is not, counts from the first step on.
            if (sharpness_ == 0)
                log += priors_[k] + 0.5 * scores_.col(static_cast<Eigen::Index>(k)).squaredNorm();
            result.push_back(std::exp(log));
            sum += result.back();
        }
        for (double& w : result) w /= sum;
        return result;
    }

    // The next sharper error, and samples drawn again as they agree with it.
    void sharpen() {
        const auto effective = [&](double more) {
            double squares = 0;
            for (const double w : weights(more)) squares += w * w;
            return 1 / squares;
        };
        const double asked = left_each_step * static_cast<double>(squares_.size());
        double more = 1 - sharpness_;
        if (effective(more) < asked) {
            double low = 1e-9 * more;
            double high = more;
            while (high / low > 1.02) {
                const double middle = std::sqrt(low * high);
                (effective(middle) >= asked ? low : high) = middle;
            }
            more = low;
        }
        draw_again(weights(more));
        sharpness_ = std::min(1.0, sharpness_ + more);
    }

    // Systematic resampling (Kitagawa 1996).
    void draw_again(const std::vector<double>& weights) {
        const auto n = static_cast<double>(weights.size());
        const Matrix before = scores_;
        const auto squares = squares_;
        const auto priors = priors_;
        const double first = uniform(random_);
        double sum = weights[0];
        std::size_t from = 0;
        for (std::size_t k = 0; k < weights.size(); ++k) {
            const double place = (first + static_cast<double>(k)) / n;
            while (sum < place && from + 1 < weights.size()) sum += weights[++from];
            scores_.col(static_cast<Eigen::Index>(k)) = before.col(static_cast<Eigen::Index>(from));
            squares_[k] = squares[from];
            priors_[k] = priors[from];
        }
    }

    // One move of every sample (Metropolis et al. 1953), shaped as the cloud is.
    void move() {
        const auto n = static_cast<double>(scores_.cols());
        const Eigen::VectorXd mean = scores_.rowwise().mean();
        const Matrix away = scores_.colwise() - mean;
        Matrix covariance = away * away.transpose() / n;
        covariance.diagonal().array() += 1e-10;
        const Matrix root = covariance.llt().matrixL();
        const Matrix there = scores_ + length_ * root * gaussian(scores_.rows(), scores_.cols());
        std::vector<double> squares;
        std::vector<double> priors;
        look(there, squares, priors);
        std::size_t moved = 0;
        for (std::size_t k = 0; k < squares.size(); ++k) {
            const double gain =
                priors[k] - priors_[k] - 0.5 * sharpness_ * (squares[k] - squares_[k]);
            if (!(std::log(uniform(random_)) < gain)) continue;
            scores_.col(static_cast<Eigen::Index>(k)) = there.col(static_cast<Eigen::Index>(k));
            squares_[k] = squares[k];
            priors_[k] = priors[k];
            ++moved;
        }
        const double share = static_cast<double>(moved) / n;
        length_ *= std::clamp(share / wanted_moves, 0.6, 1.5);
    }

    const std::vector<UnknownRange>& unknowns_;
    const Misses& misses_;
    const AnnealingOptions& options_;
    std::mt19937_64 random_;
    double sharpness_ = 0;  // 1/widening²
    double length_ = 1;     // of a move, in the cloud's spread
    Matrix scores_;         // a column a sample
    std::vector<double> squares_;
    std::vector<double> priors_;
};

}  // namespace

double AnnealedSample::mean(std::size_t unknown) const {
    const auto& own = values[unknown];
    return std::accumulate(own.begin(), own.end(), 0.0) / static_cast<double>(own.size());
}

std::pair<double, double> AnnealedSample::middle(std::size_t unknown, double share) const {
    auto sorted = values[unknown];
    std::ranges::sort(sorted);
    const auto at = [&](double place) {
        return sorted[static_cast<std::size_t>(
            std::lround(place * static_cast<double>(sorted.size() - 1)))];
    };
    return {at((1 - share) / 2), at((1 + share) / 2)};
}

std::optional<AnnealedSample> annealed_sample(
    const std::vector<UnknownRange>& unknowns,
    const std::function<std::vector<double>(const std::vector<std::vector<double>>& values)>&
        misses,
    const AnnealingOptions& options) {
    return Annealing(unknowns, misses, options).run();
}

}  // namespace gapwright
