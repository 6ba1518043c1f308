// A guided session: which reading to take next, and when enough is known.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>
#include "bench/reasoning/isolation_check.hpp"
#include "bench/reasoning/next_measurement.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "population/engine.hpp"

namespace gapwright {

struct SessionOptions {
    // How likely a link without a fault is before anything was measured: somebody who sits down to
    // measure has a reason (own choice).
    double no_fault = 0.1;
    double sure = 0.9;      // of one suspect, to end with it
    double cleared = 0.93;  // of no fault, likewise
    // A fault is named before "no fault" only when it is so many times as likely: nobody is sent to
    // repair a link that may well be good. (Own choice; odds of 20 to 150 are called strong
    // evidence, Kass & Raftery 1995, from memory.)
    double accusing_odds = 20;
    // The same while every reading by itself is one that some good link gives.
    double accusing_odds_unseen = 500;
    double open_at_most = 0.05;    // of anything else, where a link is called good
    double good_at_most = 0.01;    // of no fault, where measuring ends with another suspect
    double unpowered_bits = 0.02;  // likewise, before the power was ever on
    double least_bits = 0.05;      // a reading that is expected to tell less is not worth taking
    double clearing_bits = 0.015;  // likewise, where no fault is first but not yet cleared
    double apart_bits = 0.1;  // two suspects that no reading tells apart better are not told apart
    // Before a fault is named, isolation not counted: one may be misread or mistyped.
    std::size_t least_readings = 2;
    std::size_t most_readings = 24;
    // Whether a reading that does not go with the others is asked for again before it decides;
    // where nobody can be asked, it is told and counts.
    bool ask_again = true;
    std::vector<std::size_t> not_measurable = {};  // measurements that somebody cannot take
    EngineOptions engine = {};
};

// A suspect after some readings.
struct Suspect {
    std::size_t suspect = 0;  // index in the dictionary's suspects; 0: no fault
    double share = 0;         // how likely
};

struct Conclusion {
    std::vector<Suspect>
        suspects;  // the likeliest first; none below a thousandth but the first three
    double unexplained = 0;
    // Suspects that cannot be told from the first by any single further reading, the first
    // included.
    std::vector<std::size_t> alike;
    double together = 0;  // of all that are alike
    IsolationCheck isolation;
    bool every_state = false;      // in each, something of the output side but its supply was read
    std::optional<Proposal> next;  // none: nothing more is to be measured

    bool ended() const { return !next; }
    // Whether a link may be called good: the sides are known to be apart, it was looked at in every
    // state, no fault is likely enough, and nothing else is left open.
    bool cleared(const SessionOptions& options) const;
};

// What is known after `readings` and what to measure next, of those that have not been taken.
//
// The order of work is common practice: whether the sides are apart, and where there is a way
// across, where it ends, and then nothing more; with the power off, what tells anything; then the
// supplies by themselves; then what tells most for its trouble, state by state.
Conclusion conclude(Suspicion& suspicion, const std::vector<TakenReading>& readings,
                    const SessionOptions& options);

}  // namespace gapwright
