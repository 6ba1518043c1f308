#include "fit/least_squares.hpp"

#include <ceres/ceres.h>

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <cstddef>
#include <expected>
#include <limits>
#include <memory>
#include <optional>
#include <random>
#include <stop_token>
#include <vector>

#include "fit/solver_costs.hpp"

namespace gapwright {
namespace {

constexpr double huber_bend = 2.5;             // in units of the noise
constexpr double share_within_bend = 0.97756;  // E[min(z², 2.5²)] of a normal z
// The solver's first trust: bold steps are quick, careful ones find the way where a bold one leaves
// it (of the NIST sets: BoxBOD). The given start tries both.
constexpr double bold_step = 1e4;
constexpr double careful_step = 1e-3;
constexpr double points_first = 0.05;  // of the noise; own choice
constexpr double stray_beyond = 4;     // in units of the noise; own choice

class Fitter {
  public:
    Fitter(const FitProblem& problem, const FitOptions& options)
        : problem_(problem), options_(options), coordinates_(count()) {
        for (std::size_t k = 0; k < count(); ++k) {
            coordinates_[k] = to_coordinate(problem.parameters[k], problem.parameters[k].start);
        }
        centre_ = coordinates_;
        pose();
    }

    std::expected<Fit, FitFailure> run() {
        if (!from_all_starts()) {
            return std::unexpected(
                FitFailure{.message = options_.stop.stop_requested()
                                          ? "stopped"
                                          : "no figures of such a part come near these points: "
                                            "look for a wrong unit, or columns exchanged",
                           .stopped = options_.stop.stop_requested()});
        }
        settle_noise();
        if (options_.robust) {
            // Only now: far from a fit every point is a stray, and none would pull.
            for (auto* loss : losses_) {
                loss->Reset(std::make_unique<ceres::HuberLoss>(huber_bend).release(),
                            ceres::TAKE_OWNERSHIP);
            }
            minimise(bold_step, false);
            settle_noise();
        }
        Fit fit;
        describe(fit);
        if (options_.intervals) find_intervals(fit);
        if (options_.stop.stop_requested()) {
            return std::unexpected(FitFailure{.message = "stopped", .stopped = true});
        }
        return fit;
    }

  private:
    std::size_t count() const { return problem_.parameters.size(); }

    void pose() {
        std::vector<double*> blocks;
        for (double& x : coordinates_) blocks.push_back(&x);
        for (double* block : blocks) posed_.AddParameterBlock(block, 1);
        for (std::size_t k = 0; k < problem_.points; ++k) {
            posed_.AddResidualBlock(std::make_unique<PointCost>(problem_, k, noise_).release(),
                                    options_.robust
                                        ? std::make_unique<ceres::HuberLoss>(huber_bend).release()
                                        : nullptr,
                                    blocks);
        }
        for (std::size_t k = 0; k < count(); ++k) {
            const auto& p = problem_.parameters[k];
            if (p.doubt) {
                const double expected = to_coordinate(p, p.expected.value_or(p.start));
                posed_.AddResidualBlock(
                    std::make_unique<BeforehandCost>(expected, *p.doubt).release(), nullptr,
                    blocks[k]);
            }
            const double lowest = p.logarithmic && p.lowest <= 0
                                      ? -std::numeric_limits<double>::infinity()
                                      : to_coordinate(p, p.lowest);
            const double highest = to_coordinate(p, p.highest);
            if (std::isfinite(lowest)) posed_.SetParameterLowerBound(blocks[k], 0, lowest);
            if (std::isfinite(highest)) posed_.SetParameterUpperBound(blocks[k], 0, highest);
            lowest_.push_back(lowest);
            highest_.push_back(highest);
        }
    }

    // From where the coordinates stand; the cost there, none where it leads nowhere.
    // `closely`: to the last digits, else to what costs and intervals need.
    std::optional<double> minimise(double first_step = bold_step, bool closely = true,
                                   int iterations = 3000) {
        ceres::Solver::Options options;
        options.linear_solver_type = ceres::DENSE_QR;
        options.max_num_iterations = iterations;
        options.initial_trust_region_radius = first_step;
        options.function_tolerance = std::max(closely ? 1e-15 : 1e-7, options_.rounding);
        options.gradient_tolerance = 1e-16;
        options.parameter_tolerance = std::max(closely ? 1e-13 : 1e-7, options_.rounding);
        StopCallback stop(options_.stop);
        options.callbacks.push_back(&stop);
        ceres::Solver::Summary summary;
        solve_quietly(options, posed_, summary);
        if (!summary.IsSolutionUsable() || options_.stop.stop_requested()) return std::nullopt;
        return summary.final_cost;
    }

    std::vector<double> about_the_start(std::mt19937_64& engine) const {
        std::vector<double> from = centre_;
        for (std::size_t k = 0; k < count(); ++k) {
            const auto& p = problem_.parameters[k];
            const double reach = p.doubt.value_or(p.logarithmic ? 2.0 : std::abs(centre_[k]));
            // (the engine's own numbers, so that starts are the same with every library)
            const double share =
                static_cast<double>(engine()) / static_cast<double>(engine.max()) * 2 - 1;
            from[k] = std::clamp(centre_[k] + 2.5 * reach * share, lowest_[k], highest_[k]);
        }
        return from;
    }

    bool from_all_starts() {
        std::mt19937_64 engine(options_.seed);
        std::optional<double> best;
        std::vector<double> best_coordinates = coordinates_;
        int agreed = 0;  // how many came to the best
        constexpr int enough = 5;
        for (int start = 0; start < std::max(options_.starts, 1) && agreed < enough; ++start) {
            const std::vector<double> from = start == 0 ? centre_ : about_the_start(engine);
            const auto keep = [&](std::optional<double> cost) {
                if (!cost) return;
                constexpr double same = 1e-3;  // of a squared deviation
                if (!best || *cost < *best - same) agreed = 0;
                if (!best || *cost < *best + same) ++agreed;
                if (!best || *cost < *best) {
                    best = cost;
                    best_coordinates = coordinates_;
                }
            };
            const bool closely = start == 0 && options_.starts == 1;
            coordinates_ = from;
            // (a start that leads anywhere shows it soon)
            keep(minimise(bold_step, closely, start == 0 ? 3000 : 60));
            if (start == 0) {
                coordinates_ = from;
                keep(minimise(careful_step, closely));
            }
            if (start == 0 && knows_beforehand()) {
                // The points alone first: what is known beforehand may hold a fit far from where
                // they lie, and is then taken for their noise.
                coordinates_ = from;
                const double stated = noise_;
                noise_ *= points_first;
                minimise(bold_step, false);
                noise_ = stated;
                keep(minimise(bold_step, closely));
            }
            if (options_.stop.stop_requested()) return false;
        }
        coordinates_ = best_coordinates;
        if (best && options_.starts > 1) minimise();
        return best.has_value();
    }

    // Misfits where the coordinates stand, and their slopes to the coordinates.
    bool look(std::vector<double>& misfits, Eigen::MatrixXd& slopes) const {
        std::vector<double> values(count());
        for (std::size_t k = 0; k < count(); ++k) {
            values[k] = to_value(problem_.parameters[k], coordinates_[k]);
        }
        misfits.assign(problem_.points, 0);
        slopes.resize(static_cast<Eigen::Index>(problem_.points),
                      static_cast<Eigen::Index>(count()));
        std::vector<double> row(count());
        for (std::size_t i = 0; i < problem_.points; ++i) {
            if (!problem_.misfit(i, values, misfits[i], row)) return false;
            for (std::size_t k = 0; k < count(); ++k) {
                slopes(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(k)) =
                    row[k] * (problem_.parameters[k].logarithmic ? values[k] : 1.0);
            }
        }
        return true;
    }

    bool knows_beforehand() const {
        return std::ranges::any_of(problem_.parameters,
                                   [](const FitParameter& p) { return p.doubt.has_value(); });
    }

    // What the estimates' errors are, in coordinates, and how many parameters the points tell. From
    // slopes and what was known, one under the other, each column scaled: their squares would lose
    // half of the digits.
    struct Estimate {
        Eigen::MatrixXd covariance;
        double told = 0;  // the trace of the hat matrix
    };
    Estimate estimate(const Eigen::MatrixXd& slopes) const {
        const auto columns = slopes.cols();
        Eigen::MatrixXd stacked(slopes.rows() + columns, columns);
        stacked.topRows(slopes.rows()) = slopes / noise_;
        stacked.bottomRows(columns).setZero();
        for (Eigen::Index k = 0; k < columns; ++k) {
            const auto doubt = problem_.parameters[static_cast<std::size_t>(k)].doubt;
            if (doubt) stacked(slopes.rows() + k, k) = 1 / *doubt;
        }
        Eigen::VectorXd scale = stacked.colwise().norm();
        for (double& s : scale) s = s > 0 ? 1 / s : 1.0;
        const Eigen::JacobiSVD<Eigen::MatrixXd> parts(stacked * scale.asDiagonal(),
                                                      Eigen::ComputeThinU | Eigen::ComputeThinV);
        const Eigen::VectorXd& sizes = parts.singularValues();
        Estimate result;
        // (what nothing tells of, to the last digit, is as uncertain as a double can say)
        const Eigen::VectorXd inverse = sizes.cwiseMax(1e-150).cwiseInverse();
        const Eigen::MatrixXd half = scale.asDiagonal() * parts.matrixV() * inverse.asDiagonal();
        result.covariance = half * half.transpose();
        result.told = parts.matrixU().topRows(slopes.rows()).squaredNorm();
        return result;
    }

    // The noise that the points show about the fit, and what counts of what was stated; with it the
    // fit moves a little where something was known beforehand, so in turns.
    void settle_noise() {
        for (int turn = 0; turn < 8; ++turn) {
            std::vector<double> misfits;
            Eigen::MatrixXd slopes;
            if (!look(misfits, slopes)) return;
            const double left = static_cast<double>(problem_.points) - estimate(slopes).told;
            // Points that all but fit by themselves show no noise.
            freedom_ = options_.trust + (left > 0.5 ? left : 0);
            if (freedom_ <= 0) {
                freedom_ = 0;
                return;
            }
            double sum = 0;
            for (const double r : misfits) {
                const double square = r * r;
                const double most = huber_bend * huber_bend * noise_ * noise_;
                sum += options_.robust ? std::min(square, most) / share_within_bend : square;
            }
            if (left <= 0.5) sum = 0;
            const double before = noise_;
            noise_ = std::sqrt((options_.trust + sum) / freedom_);
            if (!(noise_ > 0)) {  // points that lie on the law to the last digit
                noise_ = before * 1e-9;
                return;
            }
            if (std::abs(noise_ / before - 1) < 1e-3) return;
            if (options_.robust || knows_beforehand()) minimise(bold_step, false);
        }
    }

    // By how much the noise may be larger than it shows itself: so that 1.96 deviations reach as
    // far as Student's t. It is the noise that few points leave in doubt, not what was known
    // beforehand.
    double noise_doubt() const {
        if (freedom_ <= 0) return 1;
        // (below two degrees of freedom Student's t has no deviation that a person could use)
        return boost::math::quantile(boost::math::students_t(std::max(freedom_, 2.0)), 0.975) /
               normal_reach;
    }

    void describe(Fit& fit) {
        Eigen::MatrixXd slopes;
        look(fit.misfits, slopes);
        const Eigen::MatrixXd spread = estimate(slopes).covariance;
        const double shown = noise_;
        noise_ *= noise_doubt();
        const Eigen::MatrixXd wide = estimate(slopes).covariance;
        noise_ = shown;
        fit.noise = noise_;
        fit.freedom = freedom_;
        for (std::size_t i = 0; i < fit.misfits.size(); ++i) {
            fit.sum_of_squares += fit.misfits[i] * fit.misfits[i];
            if (std::abs(fit.misfits[i]) > stray_beyond * noise_) fit.strays.push_back(i);
        }
        for (std::size_t k = 0; k < count(); ++k) {
            const auto at = static_cast<Eigen::Index>(k);
            const auto& p = problem_.parameters[k];
            const double deviation = std::sqrt(std::max(spread(at, at), 0.0));
            const double reach = normal_reach * std::sqrt(std::max(wide(at, at), 0.0));
            const auto end = [&](double sign) {
                return to_value(
                    p, std::clamp(coordinates_[k] + sign * reach, lowest_[k], highest_[k]));
            };
            fit.parameters.push_back(
                {.value = to_value(p, coordinates_[k]),
                 .uncertainty = deviation,
                 .lowest = end(-1),
                 .highest = end(1),
                 .told = p.doubt ? std::clamp(1 - deviation / *p.doubt, 0.0, 1.0) : 1.0});
            for (std::size_t j = 0; j < count(); ++j) {
                fit.covariance95.push_back(wide(at, static_cast<Eigen::Index>(j)));
            }
        }
    }

    // Intervals by holding each parameter aside; where that finds a better fit than the one there
    // is, everything begins anew from there.
    void find_intervals(Fit& fit) {
        for (int turn = 0; turn < 4; ++turn) {
            const double shown = noise_;
            noise_ *= noise_doubt();
            better_.clear();
            const std::vector<double> estimate = coordinates_;
            // (with the noise in doubt, what was known beforehand counts for a little more)
            if (const auto cost = minimise(bold_step, false)) {
                for (std::size_t k = 0; k < count() && better_.empty(); ++k) {
                    if (options_.stop.stop_requested()) break;
                    widen(fit, k, *cost);
                }
            }
            coordinates_ = estimate;
            noise_ = shown;
            if (better_.empty()) return;
            coordinates_ = better_;
            minimise();
            settle_noise();
            fit = {};
            describe(fit);
        }
    }

    // The ends of a parameter's interval, by holding it aside.
    void widen(Fit& fit, std::size_t k, double cost) {
        const std::vector<double> best = coordinates_;
        const auto& p = problem_.parameters[k];
        const double deviation = std::sqrt(std::max(fit.covariance95[k * count() + k], 0.0));
        if (!(deviation > 0) || !std::isfinite(deviation)) return;
        const double allowed = 0.5 * normal_reach * normal_reach;
        posed_.SetParameterBlockConstant(&coordinates_[k]);
        // How much dearer it is at a distance, less what is allowed; none where nothing fits.
        const auto excess = [&](double at) -> std::optional<double> {
            coordinates_[k] = at;
            const auto found = minimise(bold_step, false);
            if (!found) return std::nullopt;
            constexpr double clearly = 0.05;  // of a squared deviation
            if (*found < cost - clearly) better_ = coordinates_;
            return *found - cost - allowed;
        };
        const auto end = [&](double sign, double limit) {
            coordinates_ = best;
            double within = best[k];
            double beyond = best[k];
            double step = normal_reach * deviation;
            double excess_within = -allowed;
            std::optional<double> excess_beyond;
            for (int turn = 0; turn < 6; ++turn, step *= 1.6) {
                beyond = best[k] + sign * step;
                const bool at_limit = sign > 0 ? beyond >= limit : beyond <= limit;
                if (at_limit) beyond = limit;
                excess_beyond = excess(beyond);
                if (!excess_beyond || *excess_beyond > 0) break;
                within = beyond;
                excess_within = *excess_beyond;
                if (at_limit) return limit;
            }
            for (int turn = 0; turn < 12; ++turn) {
                if (std::abs(beyond - within) < 0.01 * deviation) break;
                // (as the square root of the excess runs nearly straight)
                double share = 0.5;
                if (excess_beyond && *excess_beyond > 0) {
                    const double low = std::sqrt(std::max(excess_within + allowed, 0.0));
                    const double high = std::sqrt(*excess_beyond + allowed);
                    share = std::clamp((std::sqrt(allowed) - low) / (high - low), 0.05, 0.95);
                }
                const double middle = within + share * (beyond - within);
                const auto there = excess(middle);
                if (there && std::abs(*there) < 0.01 * allowed) return middle;
                if (there && *there < 0) {
                    within = middle;
                    excess_within = *there;
                } else {
                    beyond = middle;
                    excess_beyond = there;
                }
            }
            return 0.5 * (within + beyond);
        };
        const double low = end(-1, lowest_[k]);
        const double high = end(1, highest_[k]);
        posed_.SetParameterBlockVariable(&coordinates_[k]);
        coordinates_ = best;
        const double value = fit.parameters[k].value;
        fit.parameters[k].lowest = std::min(to_value(p, low), value);
        fit.parameters[k].highest = std::max(to_value(p, high), value);
    }

    const FitProblem& problem_;
    const FitOptions& options_;
    std::vector<double> coordinates_;
    std::vector<double> centre_;  // the given start
    std::vector<double> lowest_;
    std::vector<double> highest_;
    std::vector<double> better_;  // a fit that an interval's search came upon, if any
    double noise_ = 1;
    double freedom_ = 0;
    ceres::Problem posed_;
    std::vector<ceres::LossFunctionWrapper*> losses_;  // by point; owned by posed_
};

}  // namespace

std::expected<Fit, FitFailure> fit_least_squares(const FitProblem& problem,
                                                 const FitOptions& options) {
    return Fitter(problem, options).run();
}

}  // namespace gapwright
