// Parameters of a law from points: least squares with bounds, robust against strays, from several
// starts, with intervals that say how far the points can tell.
//
// The only code that knows the solver's library is least_squares.cpp. Intervals are those of the
// profiled sum of squares (Bates & Watts 1988, chapter 6): a parameter is held aside, all others
// fitted anew, until the sum has grown by what Student's t allows.
#pragma once

#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <vector>

namespace gapwright {

// Deviations of a normal law that hold 95 %.
inline constexpr double normal_reach = 1.959964;

// One number that is looked for.
struct FitParameter {
    std::string name = {};
    double start = 0;
    double lowest = -std::numeric_limits<double>::infinity();
    double highest = std::numeric_limits<double>::infinity();
    bool logarithmic = false;  // looked for by its logarithm; start and lowest are above zero then
    // What is known of it before any point: it lies about `expected` (or `start`), within so much
    // (one standard deviation; of the logarithm where `logarithmic`). Absent: nothing.
    std::optional<double> doubt = {};
    std::optional<double> expected = {};
};

// How far the law lies from one point, in units of the point's own standard uncertainty:
// (law − point) / uncertainty. `slopes`, unless empty, takes its derivative to each parameter (not
// to their logarithms). False where the law has no value for these parameters.
using Misfit = std::function<bool(std::size_t point, std::span<const double> parameters,
                                  double& misfit, std::span<double> slopes)>;

struct FitProblem {
    std::vector<FitParameter> parameters;
    std::size_t points = 0;
    Misfit misfit;
};

struct FitOptions {
    int starts = 1;       // the given one, and others about it
    bool robust = false;  // points further off than 2.5 times the noise pull no harder (Huber 1964)
    // How much the points' own uncertainties are trusted beforehand, as so many points (degrees of
    // freedom) that had shown them; 0: the noise is what the points show.
    double trust = 0;
    // How far the law's own values are rounded, as a share: what a simulation's steps leave. No
    // digits are looked for below it.
    double rounding = 0;
    bool intervals = true;
    std::uint64_t seed = 1;
    std::stop_token stop = {};
};

struct FittedParameter {
    double value = 0;
    double uncertainty = 0;  // standard, of the value (of its logarithm where logarithmic)
    double lowest = 0;       // 95 % interval, within the bounds
    double highest = 0;
    // The share of what was known of it that the points add: 1 where they say all, 0 where they say
    // nothing. 1 where nothing was known beforehand.
    double told = 1;
};

struct Fit {
    std::vector<FittedParameter> parameters;
    std::vector<double> misfits;      // by point, in its own uncertainties
    std::vector<std::size_t> strays;  // points more than 4 times the noise off
    double noise = 1;                 // of the points, in their own uncertainties
    double freedom = 0;               // degrees of freedom behind `noise`; 0: as it was stated
    double sum_of_squares = 0;        // of the misfits
    // Covariance of the estimates (of their logarithms where logarithmic), row by row, with the
    // noise as large as it may be: normal_reach of its deviations reach 95 %.
    std::vector<double> covariance95;
};

// Why there is no fit: no start led anywhere, or it was stopped.
struct FitFailure {
    std::string message;
    bool stopped = false;
};

// The best fit of all starts. Requires a parameter and a point.
std::expected<Fit, FitFailure> fit_least_squares(const FitProblem& problem,
                                                 const FitOptions& options = {});

}  // namespace gapwright
