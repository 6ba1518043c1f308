#include "bench/guided_session.hpp"

#include <algorithm>
#include <cstddef>
#include <functional>
#include <vector>

#include "bench/fault_dictionary.hpp"
#include "bench/measurement.hpp"
#include "bench/next_measurement.hpp"
#include "bench/reading_scale.hpp"
#include "bench/suspicion.hpp"

namespace gapwright {
namespace {

constexpr double least_share = 1e-3;      // of a suspect that is told
constexpr std::ptrdiff_t least_told = 3;  // suspects, however unlikely
constexpr double contender = 0.02;        // of one that the first is held against

// Whether some reading is one that no good link gives, to the meter's limits.
bool stands_out(const FaultDictionary& dictionary, const std::vector<TakenReading>& readings) {
    constexpr double limits = 1.8;  // standard errors of the meter, about √3: its limit
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
        if (!dictionary.faults[f].is_none() || dictionary.readings[f].specimens == 0) continue;
        return std::ranges::any_of(readings, [&](const TakenReading& r) {
            const MeasurementKind kind = dictionary.measurements[r.measurement].kind;
            const double y = scaled(dictionary.meter, kind, r.value);
            const double error = limits * scaled_error(dictionary.meter, kind, r.value);
            const auto [low, high] = std::ranges::minmax(dictionary.readings[f].of(r.measurement));
            return y < low - error || y > high + error;
        });
    }
    return true;
}

std::vector<Suspect> ranked(const Suspicion& suspicion, const std::vector<TakenReading>& readings,
                            const SessionOptions& options) {
    std::vector<Suspect> result;
    const auto shares = suspicion.of_suspects();
    for (std::size_t s = 0; s < shares.size(); ++s) result.push_back({s, shares[s]});
    // No fault stands before all that are not so much likelier.
    const double odds = stands_out(suspicion.dictionary(), readings) ? options.accusing_odds
                                                                     : options.accusing_odds_unseen;
    const auto rank = [&](const Suspect& s) { return s.suspect == 0 ? s.share * odds : s.share; };
    std::ranges::stable_sort(result, std::greater(), rank);
    // Where nothing explains the readings, the nearest are told all the same.
    const auto few =
        std::ranges::find_if(result, [](const Suspect& s) { return s.share < least_share; });
    const auto told = std::max(few - result.begin(), least_told);
    result.resize(std::min(result.size(), static_cast<std::size_t>(told)));
    return result;
}

// Every measurement that has not been taken and can be.
std::vector<std::size_t> left_over(const FaultDictionary& dictionary,
                                   const std::vector<TakenReading>& readings,
                                   const SessionOptions& options) {
    std::vector<std::size_t> left;
    for (std::size_t m = 0; m < dictionary.measurements.size(); ++m) {
        const bool taken =
            std::ranges::find(readings, m, &TakenReading::measurement) != readings.end();
        const bool can_be =
            std::ranges::find(options.not_measurable, m) == options.not_measurable.end();
        if (!taken && can_be) left.push_back(m);
    }
    return left;
}

// Whether the last reading left the power on; it is off before the first.
bool power_on(const Suspicion& suspicion, const std::vector<TakenReading>& readings) {
    return !readings.empty() &&
           suspicion.dictionary().measurements[readings.back().measurement].state != unpowered;
}

}  // namespace

Conclusion conclude(Suspicion& suspicion, const std::vector<TakenReading>& readings,
                    const SessionOptions& options) {
    suspicion.weigh(readings);
    Conclusion result;
    result.suspects = ranked(suspicion, readings, options);
    result.unexplained = suspicion.unexplained();
    if (result.suspects.empty()) return result;
    const Suspect first = result.suspects.front();
    result.alike = {first.suspect};
    const double sure = first.suspect == 0 ? options.cleared : options.sure;
    const double good = suspicion.of_suspects().front();
    const bool open = first.suspect != 0 && good > options.good_at_most;
    const bool too_few = first.suspect != 0 && readings.size() < options.least_readings;
    if (first.share >= sure && !open && !too_few) return result;
    const auto left = left_over(suspicion.dictionary(), readings, options);
    double together = first.share;
    if (first.share + result.suspects[result.suspects.size() > 1].share > 0.5) {
        for (const Suspect& other : result.suspects) {
            if (other.suspect == first.suspect || other.share < contender) continue;
            if (told_apart(suspicion, first.suspect, other.suspect, left) >= options.apart_bits) {
                continue;
            }
            result.alike.push_back(other.suspect);
            together += other.share;
        }
    }
    const bool good_is_alike = std::ranges::find(result.alike, 0) != result.alike.end();
    const bool enough = together >= sure && (!open || good_is_alike) && !too_few;
    if (enough || readings.size() >= options.most_readings) return result;
    const auto proposals = propose(suspicion, left, power_on(suspicion, readings), options.engine);
    const double least = too_few && !readings.empty() ? 0 : options.least_bits;
    if (!proposals.empty() && proposals.front().information >= least) {
        result.next = proposals.front();
    }
    return result;
}

}  // namespace gapwright
