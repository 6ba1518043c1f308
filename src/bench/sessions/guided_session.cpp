#include "bench/sessions/guided_session.hpp"

#include <algorithm>
#include <cstddef>
#include <functional>
#include <numeric>
#include <optional>
#include <string_view>
#include <vector>

#include "bench/faults/fault.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_scale.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/isolation_check.hpp"
#include "bench/reasoning/next_measurement.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"

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
            if (!dictionary.readings[f].knows(r.measurement)) return false;
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

bool is_taken(const std::vector<TakenReading>& readings, std::size_t m) {
    return std::ranges::find(readings, m, &TakenReading::measurement) != readings.end();
}

// Every measurement on one side that has not been taken and can be.
std::vector<std::size_t> left_over(const FaultDictionary& dictionary,
                                   const std::vector<TakenReading>& readings,
                                   const SessionOptions& options) {
    std::vector<std::size_t> left;
    for (std::size_t m = 0; m < dictionary.measurements.size(); ++m) {
        const bool can_be =
            std::ranges::find(options.not_measurable, m) == options.not_measurable.end();
        const bool one_side =
            !crosses_gap(dictionary.measurements[m]) && dictionary.readings.front().knows(m);
        if (one_side && can_be && !is_taken(readings, m)) left.push_back(m);
    }
    return left;
}

// How the last reading left the link; its power is off before the first.
std::string_view state_now(const FaultDictionary& dictionary,
                           const std::vector<TakenReading>& readings) {
    if (readings.empty()) return unpowered;
    return dictionary.measurements[readings.back().measurement].state;
}

bool was_powered(const FaultDictionary& dictionary, const std::vector<TakenReading>& readings) {
    return std::ranges::any_of(readings, [&](const TakenReading& r) {
        return dictionary.measurements[r.measurement].state != unpowered;
    });
}

// The voltage of a node against its return, in whichever state the next powered reading would be
// taken; none where it was read, or cannot be.
std::optional<std::size_t> unread_voltage(const FaultDictionary& dictionary,
                                          const std::vector<TakenReading>& readings,
                                          const std::vector<std::size_t>& left, const SideNode& at,
                                          std::string_view state) {
    const auto is_it = [&](const Measurement& m) {
        return m.kind == MeasurementKind::voltage && m.side == at.side && m.plus == at.node &&
               m.minus == Node::side_return;
    };
    for (const TakenReading& r : readings) {
        if (is_it(dictionary.measurements[r.measurement])) return std::nullopt;
    }
    std::optional<std::size_t> found;
    for (const std::size_t m : left) {
        if (!is_it(dictionary.measurements[m])) continue;
        if (!found || dictionary.measurements[m].state == state) found = m;
    }
    return found;
}

// What to take before what tells most: a supply by itself, once the power goes on.
std::optional<std::size_t> supply_first(const FaultDictionary& dictionary,
                                        const std::vector<TakenReading>& readings,
                                        const std::vector<std::size_t>& left,
                                        std::string_view state) {
    for (const Side side : {Side::input, Side::output}) {
        if (const auto m = unread_voltage(dictionary, readings, left, {side, supply_node}, state)) {
            return m;
        }
    }
    return std::nullopt;
}

// A driver's own node, before the driver is blamed.
std::optional<std::size_t> driver_first(const FaultDictionary& dictionary, std::size_t suspect,
                                        const std::vector<TakenReading>& readings,
                                        const std::vector<std::size_t>& left) {
    for (std::size_t f = 0; f < dictionary.faults.size(); ++f) {
        const auto& node = dictionary.faults[f].shows_at;
        if (dictionary.suspect_of[f] != suspect || !node) continue;
        return unread_voltage(dictionary, readings, left, *node, state_now(dictionary, readings));
    }
    return std::nullopt;
}

// Whether a reading shows what the output side does in its state.
bool shows_output(const Measurement& m) {
    return m.side == Side::output && m.state != unpowered && m.kind == MeasurementKind::voltage &&
           m.plus != supply_node;
}

// Those of `candidates` that would show the output side in a state in which nothing of it was read;
// none where it was looked at in each.
std::vector<std::size_t> of_unseen_state(const FaultDictionary& dictionary,
                                         const std::vector<TakenReading>& readings,
                                         const std::vector<std::size_t>& candidates) {
    std::vector<std::size_t> found;
    for (const std::size_t m : candidates) {
        const Measurement& of = dictionary.measurements[m];
        const bool seen = std::ranges::any_of(readings, [&](const TakenReading& r) {
            const Measurement& taken = dictionary.measurements[r.measurement];
            return taken.state == of.state && shows_output(taken);
        });
        const bool other =
            !found.empty() && dictionary.measurements[found.front()].state != of.state;
        if (shows_output(of) && !seen && !other) found.push_back(m);
    }
    return found;
}

// The reading that is worth most now, in the order of work.
std::optional<Proposal> next_reading(const Suspicion& suspicion,
                                     const std::vector<TakenReading>& readings,
                                     const std::vector<std::size_t>& left, double least_bits,
                                     const SessionOptions& options) {
    const FaultDictionary& dictionary = suspicion.dictionary();
    const auto state = state_now(dictionary, readings);
    const auto proposals = propose(suspicion, left, state, options.engine);
    const auto is_off = [&](const Proposal& p) {
        const Measurement& m = dictionary.measurements[p.measurement];
        return m.state == unpowered && !m.lifted;
    };
    if (!was_powered(dictionary, readings)) {
        // Where any reading will do, one that needs neither the power nor a part taken off.
        const auto off = std::ranges::find_if(proposals, [&](const Proposal& p) {
            const bool is_easy = !dictionary.measurements[p.measurement].off;
            const bool any_will_do = least_bits <= 0 && is_easy;
            return is_off(p) && (p.information >= options.unpowered_bits || any_will_do);
        });
        if (off != proposals.end()) return *off;
    }
    const auto best = std::ranges::find_if(
        proposals, [&](const Proposal& p) { return p.information >= least_bits; });
    if (best == proposals.end()) return std::nullopt;
    const Measurement& chosen = dictionary.measurements[best->measurement];
    if (chosen.state == unpowered) return *best;
    const auto supply = supply_first(dictionary, readings, left, chosen.state);
    return supply ? Proposal{.measurement = *supply} : *best;
}

// The suspects that no reading left over tells from the first.
void find_alike(const Suspicion& suspicion, const std::vector<std::size_t>& left,
                const SessionOptions& options, Conclusion& result) {
    const Suspect first = result.suspects.front();
    if (first.share + result.suspects[result.suspects.size() > 1].share <= 0.5) return;
    for (const Suspect& other : result.suspects) {
        if (other.suspect == first.suspect || other.share < contender) continue;
        if (told_apart(suspicion, first.suspect, other.suspect, left) >= options.apart_bits) {
            continue;
        }
        result.alike.push_back(other.suspect);
        result.together += other.share;
    }
}

}  // namespace

bool Conclusion::cleared(const SessionOptions& options) const {
    if (suspects.empty() || suspects.front().suspect != 0) return false;
    const double next_share = suspects.size() > 1 ? suspects[1].share : 0;
    return isolation.whole && !isolation.across && every_state &&
           suspects.front().share >= options.cleared &&
           std::max(next_share, unexplained) <= options.open_at_most;
}

Conclusion conclude(Suspicion& suspicion, const std::vector<TakenReading>& readings,
                    const SessionOptions& options) {
    const FaultDictionary& dictionary = suspicion.dictionary();
    suspicion.weigh(readings);
    Conclusion result;
    result.suspects = ranked(suspicion, readings, options);
    result.unexplained = suspicion.unexplained();
    result.isolation = check_isolation(dictionary.measurements, dictionary.meter, readings,
                                       options.not_measurable);
    if (result.suspects.empty()) return result;
    const Suspect first = result.suspects.front();
    result.alike = {first.suspect};
    result.together = first.share;
    const auto take = [&](std::size_t m) {
        result.next = Proposal{.measurement = m};
        return result;
    };
    const auto& isolation = result.isolation.next;
    if (result.isolation.across) return isolation ? take(*isolation) : result;
    // Before the first power; a link that was powered all the same is not called good without it.
    const bool powered = was_powered(dictionary, readings);
    if (isolation && (!powered || first.suspect == 0)) return take(*isolation);
    const auto left = left_over(dictionary, readings, options);
    const auto unseen = of_unseen_state(dictionary, readings, left);
    std::vector<std::size_t> all(dictionary.measurements.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    result.every_state = of_unseen_state(dictionary, readings, all).empty();
    if (result.cleared(options)) return result;
    const double good = suspicion.of_suspects().front();
    const bool open = first.suspect != 0 && good > options.good_at_most;
    const auto of_one_side = std::ranges::count_if(readings, [&](const TakenReading& r) {
        return !crosses_gap(dictionary.measurements[r.measurement]);
    });
    const bool too_few =
        first.suspect != 0 && static_cast<std::size_t>(of_one_side) < options.least_readings;
    bool enough = first.suspect != 0 && first.share >= options.sure && !open && !too_few;
    if (!enough && first.suspect != 0) {
        find_alike(suspicion, left, options, result);
        enough = result.together >= options.sure && !open && !too_few;
    }
    if (enough && first.suspect != 0) {
        const auto driver = driver_first(dictionary, first.suspect, readings, left);
        if (driver) return take(*driver);
    }
    if (enough || readings.size() >= options.most_readings) return result;
    const double least = too_few && !readings.empty() ? 0
                         : first.suspect == 0         ? options.clearing_bits
                                                      : options.least_bits;
    result.next = next_reading(suspicion, readings, left, least, options);
    // No fault is said of what was not looked at.
    if (!result.next && first.suspect == 0 && !unseen.empty()) {
        result.next =
            propose(suspicion, unseen, state_now(dictionary, readings), options.engine).front();
    }
    return result;
}

}  // namespace gapwright
