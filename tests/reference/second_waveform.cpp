#include "reference/second_waveform.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace gapwright::reference {
namespace {

constexpr int stages = 5;
constexpr double diagonal = 1.0 / 4;
constexpr std::array<std::array<double, stages>, stages> inner{{
    {},
    {1.0 / 2},
    {17.0 / 50, -1.0 / 25},
    {371.0 / 1360, -137.0 / 2720, 15.0 / 544},
    {25.0 / 24, -49.0 / 48, 125.0 / 16, -85.0 / 12},  // the result is the last stage
}};
// Weights of order 4 less those of order 3.
constexpr std::array<double, stages> difference{25.0 / 24 - 59.0 / 48, -49.0 / 48 + 17.0 / 96,
                                                125.0 / 16 - 225.0 / 32, 0, diagonal};

constexpr double tolerance = 3e-7;  // of an unknown's size, a step
// What jumps at time 0 does so within the first step: charges stay, and the rest follows them.
constexpr double first_length = 1e-13;  // s
constexpr double shortest = 1e-19;      // s
// So short a step is not judged: a base without capacitance that has lost its charge jumps.
constexpr double unjudged = 1e-13;  // s
constexpr int most_steps = 20000;
constexpr int first_rounds = 1500;  // junctions may have volts to go
constexpr int rounds = 40;

}  // namespace

SecondWaveform::SecondWaveform(const WaveformSystem& after, const std::vector<double>& rest)
    : system_(after), newton_(after), next_(first_length), x_(rest) {
    stored_ = system_.balance(x_).q;
}

bool SecondWaveform::attempt(const std::vector<double>& x, const std::vector<double>& stored,
                             double length, std::vector<double>& to, double* error) {
    std::array<std::vector<double>, stages> flown;  // what each stage's flow brings in `length`
    std::vector<double> goal(x.size());
    std::vector<double> apart(x.size(), 0.0);
    to = x;
    for (std::size_t s = 0; s < stages; ++s) {
        goal = stored;
        for (std::size_t j = 0; j < s; ++j) {
            for (std::size_t k = 0; k < x.size(); ++k) goal[k] += inner[s][j] * flown[j][k];
        }
        const bool begins = steps_ == 0 && s == 0;
        if (!newton_.solve(to, goal, length * diagonal, begins ? first_rounds : rounds)) {
            return false;
        }
        flown[s] = system_.balance(to).q;
        for (std::size_t k = 0; k < x.size(); ++k) {
            flown[s][k] = (flown[s][k] - goal[k]) / diagonal;
            apart[k] += difference[s] * flown[s][k];
        }
    }
    if (!error) return true;
    const auto moved = newton_.moved_by(apart);
    *error = 0;
    for (std::size_t k = 0; k < x.size(); ++k) {
        const double size = std::abs(to[k]) + system_.scales()[k];
        *error = std::max(*error, std::abs(moved[k]) / (tolerance * size));
    }
    return std::isfinite(*error);
}

bool SecondWaveform::step(double end) {
    while (next_ > shortest && steps_ < most_steps) {
        const bool cut = time_ + next_ >= end;
        const double length = cut ? end - time_ : next_;
        std::vector<double> to;
        double error = 0;
        if (!attempt(x_, stored_, length, to, &error)) {
            next_ = length / 8;
            continue;
        }
        const double fitting =
            length * std::clamp(0.9 * std::pow(std::max(error, 1e-9), -0.25), 0.1, 5.0);
        if (error > 1 && length > unjudged) {
            next_ = std::max(std::min(fitting, 0.9 * length), unjudged);
            continue;
        }
        // Stages that lie on both sides of a jump overshoot it: one implicit step lands behind it.
        if (error > 1 && steps_ > 0) {
            auto landed = x_;
            if (newton_.solve(landed, stored_, length, first_rounds)) to = std::move(landed);
        }
        next_ = std::max(cut && fitting > length ? std::max(next_, fitting) : fitting, unjudged);
        began_ = time_;
        time_ = cut ? end : time_ + length;
        before_ = std::exchange(x_, std::move(to));
        stored_before_ = std::exchange(stored_, system_.balance(x_).q);
        ++steps_;
        return true;
    }
    return false;
}

std::vector<double> SecondWaveform::within(double time) {
    std::vector<double> to = before_;
    const double since = time - began_;
    if (time >= time_) return x_;
    if (since <= first_length && steps_ == 1) return to;
    if (time_ - began_ <= 1.001 * unjudged) {  // a straight line: nobody sees more of it
        const double share = since / (time_ - began_);
        for (std::size_t k = 0; k < to.size(); ++k) to[k] += share * (x_[k] - to[k]);
        return to;
    }
    if (!attempt(before_, stored_before_, since, to, nullptr)) return {};
    return to;
}

}  // namespace gapwright::reference
