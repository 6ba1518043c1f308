// Limits that are passed on the way from one state to another, and levels that must hold while the
// link is disturbed. Internal to the layer.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>
#include "card/key.hpp"
#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/verdict.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "waveform/schedule.hpp"

namespace gapwright {

struct TimedLimit {
    std::string where;  // "off > on", "on, disturbed"
    std::string part;
    Key limit = {};
    Dimension dimension = Dimension::voltage;
    Sense sense = Sense::at_most;
    double bound = 0;
    LimitBasis basis = {};
    std::optional<Derating> derating;
    bool magnitude = false;
    double at_rest = 0;   // the size that counts, in the nearer of the two states
    bool always = false;  // told even where no state is passed
    TimedMeasure measure;
};

// Everything that the link states to happen, one after the other, in one state.
Schedule disturbed(const Disturbance& disturbance, std::size_t state);

// Voltages and currents of parts in changes: in those that promises and the signal speak of, and in
// all where a winding is switched. Powers are left out: what heats a part is its mean. Levels of
// logic inputs in each state, where the link states a disturbance: an edge between the sides up and
// down again, then a dip of each supply.
std::vector<TimedLimit> timed_limits(const Link& link, const LinkCircuit& circuit,
                                     const std::vector<StatePoint>& nominal);

}  // namespace gapwright
