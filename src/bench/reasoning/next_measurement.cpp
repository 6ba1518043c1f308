#include "bench/reasoning/next_measurement.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <span>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"

namespace gapwright {
namespace {

constexpr std::size_t bins = 384;      // of a histogram of readings
constexpr double tails = 3.5;          // deviations on either side that a histogram holds
constexpr double least_weight = 1e-6;  // of a specimen that is looked at
constexpr double least_share = 1e-3;   // of a suspect that is looked at
using Histogram = std::array<double, bins>;

// A fault with the weight it is given, and whose suspect it is.
struct Weighted {
    std::size_t fault;
    std::size_t suspect;
    double share;
};

// A box of odd width 2r + 1 and a share of the bins on either side of it, of variance `target` in
// bins²: three passes come close to a Gaussian.
void box_pass(Histogram& h, double target) {
    const double exact = 0.5 * (std::sqrt(12 * target + 1) - 1);  // r of a box of that variance
    const auto r = static_cast<std::ptrdiff_t>(exact);
    const auto n = static_cast<std::ptrdiff_t>(bins);
    const auto whole = static_cast<double>(r);
    // Weight e of the two bins beyond the box, so that the variance is met.
    const double inner = whole * (whole + 1) * (2 * whole + 1) / 3;
    const double beyond = (whole + 1) * (whole + 1);
    const double e =
        std::clamp((target * (2 * whole + 1) - inner) / (2 * (beyond - target)), 0.0, 1.0);
    const double all = 2 * whole + 1 + 2 * e;
    std::array<double, bins + 1> sums{};
    for (std::size_t k = 0; k < bins; ++k) sums[k + 1] = sums[k] + h[k];
    Histogram result{};
    const auto at = [&](std::ptrdiff_t k) {
        return k < 0 || k >= n ? 0.0 : h[static_cast<std::size_t>(k)];
    };
    for (std::ptrdiff_t k = 0; k < n; ++k) {
        const auto from = static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, k - r));
        const auto to = static_cast<std::size_t>(std::min(n, k + r + 1));
        result[static_cast<std::size_t>(k)] =
            (sums[to] - sums[from] + e * (at(k - r - 1) + at(k + r + 1))) / all;
    }
    h = result;
}

void smooth(Histogram& h, double deviation_in_bins) {
    const double variance = deviation_in_bins * deviation_in_bins;
    if (variance < 0.02) return;
    for (int pass = 0; pass < 3; ++pass) box_pass(h, variance / 3);
}

double entropy_term(double p) {
    return p > 0 ? p * std::log2(p) : 0;
}

// The information of one measurement about the suspects of `faults`, whose shares add up to one.
double information(const Suspicion& suspicion, std::span<const Weighted> faults,
                   std::size_t measurement) {
    std::vector<Prediction> predictions;
    double low = 1e300;
    double high = -1e300;
    for (const Weighted& w : faults) {
        predictions.push_back(suspicion.predict(w.fault, measurement));
        const Prediction& p = predictions.back();
        for (std::size_t k = 0; k < p.centres.size(); ++k) {
            if (p.weights[k] < least_weight) continue;
            low = std::min(low, p.centres[k] - tails * p.deviation);
            high = std::max(high, p.centres[k] + tails * p.deviation);
        }
    }
    const double width = std::max((high - low) / static_cast<double>(bins), 1e-9);
    double within = 0;  // Σ_s p(s) Σ p(y|s) log p(y|s)
    Histogram all{};
    for (std::size_t begin = 0; begin < faults.size();) {
        Histogram joint{};
        double share = 0;
        std::size_t f = begin;
        for (; f < faults.size() && faults[f].suspect == faults[begin].suspect; ++f) {
            const Prediction& p = predictions[f];
            Histogram own{};
            for (std::size_t k = 0; k < p.centres.size(); ++k) {
                const double place = (p.centres[k] - low) / width;
                if (p.weights[k] < least_weight) continue;
                own[std::min(bins - 1, static_cast<std::size_t>(std::max(0.0, place)))] +=
                    p.weights[k];
            }
            smooth(own, p.deviation / width);
            for (std::size_t k = 0; k < bins; ++k) joint[k] += faults[f].share * own[k];
            share += faults[f].share;
        }
        begin = f;
        for (std::size_t k = 0; k < bins; ++k) {
            all[k] += joint[k];
            if (share > 0) within += share * entropy_term(joint[k] / share);
        }
    }
    double between = 0;
    for (const double p : all) between += entropy_term(p);
    return std::max(0.0, within - between);
}

// Faults of the suspects that count, grouped by suspect; shares add up to one.
std::vector<Weighted> weighted_faults(const Suspicion& suspicion,
                                      const std::function<bool(std::size_t suspect)>& counts) {
    std::vector<Weighted> result;
    const FaultDictionary& dictionary = suspicion.dictionary();
    double all = 0;
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
        const std::size_t suspect = dictionary.suspect_of[f];
        const double share = suspicion.of_faults()[f];
        if (!counts(suspect) || share < 1e-7) continue;
        result.push_back({f, suspect, share});
        all += share;
    }
    for (Weighted& w : result) w.share /= all;
    std::ranges::stable_sort(result, {}, &Weighted::suspect);
    return result;
}

}  // namespace

namespace {

double setting_cost(std::string_view now, std::string_view then) {
    constexpr double another_state = 0.4;
    constexpr double power = 1.5;
    if (now == then) return 0;
    return (now == unpowered) == (then == unpowered) ? another_state : power;
}

}  // namespace

std::vector<Proposal> propose(const Suspicion& suspicion, std::span<const std::size_t> candidates,
                              std::string_view state, const EngineOptions& options) {
    const auto shares = suspicion.of_suspects();
    const auto faults =
        weighted_faults(suspicion, [&](std::size_t s) { return shares[s] >= least_share; });
    std::vector<Proposal> proposals(candidates.size());
    at_once(candidates.size(), options, [&](std::size_t k) {
        const std::size_t m = candidates[k];
        const double bits = information(suspicion, faults, m);
        const Measurement& measurement = suspicion.dictionary().measurements[m];
        proposals[k] = {m, bits,
                        bits / (measurement.cost + setting_cost(state, measurement.state))};
    });
    std::ranges::stable_sort(proposals, std::greater(), &Proposal::worth);
    return proposals;
}

double told_apart(const Suspicion& suspicion, std::size_t a, std::size_t b,
                  std::span<const std::size_t> candidates) {
    const FaultDictionary& dictionary = suspicion.dictionary();
    std::vector<Weighted> faults;
    for (const std::size_t s : {a, b}) {
        const std::size_t begin = faults.size();
        double own = 0;
        for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
            if (dictionary.suspect_of[f] != s || suspicion.specimen_weights(f).empty()) continue;
            faults.push_back({f, s, suspicion.of_faults()[f]});
            own += faults.back().share;
        }
        const auto count = static_cast<double>(faults.size() - begin);
        if (faults.size() == begin) return 0;  // nothing is known of it
        for (std::size_t k = begin; k < faults.size(); ++k) {
            // One that is ruled out altogether has no likelier fault.
            faults[k].share = 0.5 * (own > 0 ? faults[k].share / own : 1 / count);
        }
    }
    double most = 0;
    for (const std::size_t m : candidates) {
        most = std::max(most, information(suspicion, faults, m));
    }
    return most;
}

}  // namespace gapwright
