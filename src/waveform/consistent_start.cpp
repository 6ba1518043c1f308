#include "waveform/consistent_start.hpp"

#include <expected>
#include <optional>
#include <utility>

#include "waveform/equations.hpp"

namespace gapwright::waveforms {
namespace {

// What jumps does so within this time, s: charges and fluxes then change by what flows in it, which
// nobody can see, and a charge that must jump (a capacitor on a source without resistance) can.
constexpr double jump_time = 1e-13;
constexpr int newton_limit = 100;
constexpr double newton_tolerance = 1e-10;  // of an unknown's size or of its value

// Of continuation, S.
constexpr double first_hold = 1e-2;
constexpr double strongest_hold = 1e3;
constexpr double weakest_hold = 1e-24;
constexpr int most_held_steps = 400;
constexpr int held_newton_limit = 25;

class Starter {
  public:
    Starter(Equations& equations, double time, const VectorXd& before)
        : equations_(equations), time_(time), before_(before) {}

    std::optional<Start> plainly() {
        VectorXd y = before_;
        if (!newton(y, 0, before_, newton_limit)) return std::nullopt;
        return start_at(std::move(y));
    }

    std::optional<Start> held() {
        VectorXd y = before_;
        double hold = first_hold;
        for (int k = 0; k < most_held_steps && hold <= strongest_hold; ++k) {
            if (hold < weakest_hold) {
                if (!newton(y, 0, before_, newton_limit)) return std::nullopt;
                return start_at(std::move(y));
            }
            VectorXd next = y;
            const bool settled = newton(next, hold, y, held_newton_limit);
            if (settled) y = std::move(next);
            hold *= settled ? 0.1 : 30;
        }
        return std::nullopt;
    }

    Index restless() const { return restless_; }

  private:
    Start start_at(VectorXd y) const {
        VectorXd slope = (y - before_) / jump_time;
        slope.head(equations_.resting()).setZero();
        return {std::move(y), std::move(slope)};
    }

    // With `hold` siemens from every node to where `held_at` has it.
    bool newton(VectorXd& y, double hold, const VectorXd& held_at, int limit) {
        auto control = equations_.controls(y);
        for (int k = 0; k < limit; ++k) {
            const VectorXd slope = (y - before_) / jump_time;
            equations_.evaluate(time_, y, slope, 1 / jump_time, residual_, &jacobian_, &control);
            if (hold > 0) add_hold(y, hold, held_at);
            scale_rows();
            const VectorXd step = jacobian_.partialPivLu().solve(-residual_);
            if (!step.allFinite()) return false;
            y += step;
            const bool limited = equations_.limit(y, control);
            const double moved =
                (step.array().abs() / (y.array().abs() + equations_.sizes().array()))
                    .maxCoeff(&restless_);
            if (!limited && moved <= newton_tolerance) return true;
        }
        return false;
    }

    void add_hold(const VectorXd& y, double hold, const VectorXd& from) {
        for (Index k = 0; k < equations_.resting(); ++k) {
            if (equations_.current(k)) continue;
            residual_[k] += hold * (y[k] - from[k]);
            jacobian_(k, k) += hold;
        }
    }

    void scale_rows() {
        for (Index r = 0; r < jacobian_.rows(); ++r) {
            const double largest = jacobian_.row(r).cwiseAbs().maxCoeff();
            if (largest > 0) {
                jacobian_.row(r) /= largest;
                residual_[r] /= largest;
            } else {
                jacobian_(r, r) = 1;  // between blocked devices: it stays where it is
            }
        }
    }

    Equations& equations_;
    double time_;
    const VectorXd& before_;
    Index restless_ = 0;
    VectorXd residual_;
    MatrixXd jacobian_;
};

}  // namespace

std::expected<Start, Index> consistent_start(Equations& equations, double time,
                                             const VectorXd& before) {
    Starter starter(equations, time, before);
    auto start = starter.plainly();
    if (!start) start = starter.held();
    if (!start) return std::unexpected(starter.restless());
    return std::move(*start);
}

}  // namespace gapwright::waveforms
