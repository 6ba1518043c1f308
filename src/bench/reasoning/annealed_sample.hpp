// Samples of unknowns that agree with observations: a cloud of samples that starts spread as the
// unknowns are before anything was observed, and is weighed, drawn again and moved while the
// observations' error, wide at first, narrows to what it is (a sequential Monte Carlo sampler; Del
// Moral, Doucet & Jasra 2006). Internal to the layer.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

namespace gapwright {

// An unknown, its range before anything was observed, and how it is spread there.
struct UnknownRange {
    double lowest = 0;
    double highest = 1;
    // The logarithm of its density but for a constant; none: uniform.
    std::function<double(double value)> log_density = {};
};

// Samples, all of the same weight.
struct AnnealedSample {
    std::vector<std::vector<double>> values;  // a row an unknown, one number a sample
    double widening = 1;  // of the observations' error: above 1 where rounds did not suffice

    double mean(std::size_t unknown) const;
    // The middle `share` of an unknown's samples lies from the first to the second.
    std::pair<double, double> middle(std::size_t unknown, double share) const;
};

struct AnnealingOptions {
    std::size_t samples = 2000;
    int moves = 4;        // of every sample, for each step of the error
    int last_moves = 10;  // at the error as it is
    int most_steps = 40;  // of the error
    std::uint64_t seed = 1;
    std::function<bool()> stop = {};  // asked between moves
};

// `misses` gives, for rows of values like those of a sample, the sum of squared deviations from all
// observations in their errors, one number a sample; infinite or NaN for what cannot be. Nothing
// where no sample can be, or the work was stopped.
std::optional<AnnealedSample> annealed_sample(
    const std::vector<UnknownRange>& unknowns,
    const std::function<std::vector<double>(const std::vector<std::vector<double>>& values)>&
        misses,
    const AnnealingOptions& options);

}  // namespace gapwright
