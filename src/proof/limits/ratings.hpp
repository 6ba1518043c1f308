// The limits on every part's card, as quantities to measure and bounds to hold.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "card/key.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// Full rating up to one temperature, falling linearly to nothing at the other, K.
struct Derating {
    double full_to;
    double zero_at;

    // The share of the rating left at `temperature`, 0 to 1.
    double share(double temperature) const;
};

// What of a limit nobody states, and is assumed: the limit itself (card/assumed_limits.hpp), or
// only how it falls as it gets warmer.
struct LimitBasis {
    bool assumed = false;
    bool derating_assumed = false;
    std::string_view reason = {};  // of an assumed limit: why so much
};

// One limit of one part, in one state.
struct Rating {
    std::size_t state = 0;
    std::size_t part = 0;
    bool receiver = false;  // of a pair: its receiver's limit, its emitter's otherwise
    Key limit = {};         // power, forward_current …; of a level pull_in …
    Dimension dimension = Dimension::voltage;
    Sense sense = Sense::at_most;
    double rated = 0;  // as the card states it, SI; of a spread the careful end
    double rated_nominal = 0;
    std::optional<Derating> derating = {};
    LimitBasis basis = {};
    bool magnitude = false;  // either sign counts
    bool one_way = false;    // only its own direction counts: a reverse voltage is never negative
    Probe probe = {};
};

// Every limit of every part in every state, but for levels (see level_ratings).
std::vector<Rating> ratings_of(const Link& link, const LinkCircuit& circuit);

// A part that must be on one side or the other of an undefined range: a logic input reads low or
// high, a relay coil is released or pulled in, never between.
struct LevelLimit {
    std::size_t part = 0;
    Probe probe;             // V over the part
    bool magnitude = false;  // either way round: a coil has no polarity
    Key low_key = {};        // low_below, drop_out
    Key high_key = {};       // high_above, pull_in
    double low = 0;          // V: at most this when low
    double high = 0;         // V: at least this when high
    double nominal_low = 0;  // V: the same of a nominal part
    double nominal_high = 0;
    double middle = 0;  // V: what is above it nominally is meant to be high

    bool is_high(double nominal_voltage) const;
};
std::vector<LevelLimit> level_limits(const Link& link, const LinkCircuit& circuit);

// The level limits as ratings: `nominal` gives the nominal point of each state, which says on which
// side of the undefined range each part is meant to be.
std::vector<Rating> level_ratings(const Link& link, const LinkCircuit& circuit,
                                  const std::vector<StatePoint>& nominal);

}  // namespace gapwright
