// What happens to a link in time, and when: changes of state with edges and bounces, dips of a
// supply, edges of the voltage between the sides.
#pragma once

#include <span>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"

namespace gapwright {

struct Change {
    double at = 0;  // s
    StateIndex to;

    bool operator==(const Change&) const = default;
};

// A supply falls to (1 − share) of its voltage for so long.
struct Dip {
    Side side = Side::output;
    double at = 0;      // s
    double length = 0;  // s
    double share = 0;   // 0 … 1

    bool operator==(const Dip&) const = default;
};

// The input side moves against the output side at so many volts a second, for so long.
struct Surge {
    double at = 0;      // s
    double length = 0;  // s
    double slope = 0;   // V/s, either sign

    bool operator==(const Surge&) const = default;
};

// At rest in state `from` until time 0.
struct Schedule {
    StateIndex from{};
    std::vector<Change> changes = {};  // in the order of time
    std::vector<Dip> dips = {};
    std::vector<Surge> surges = {};

    bool operator==(const Schedule&) const = default;
};

// Where a closing contact opens again while it bounces for a time b: from and to, shares of b. It
// stays closed from b on. (Own choice: five openings, ever shorter; no two contacts bounce alike.)
inline constexpr double bounce_openings[][2] = {
    {0.06, 0.28}, {0.36, 0.52}, {0.60, 0.72}, {0.80, 0.88}, {0.95, 1.0}};

}  // namespace gapwright

namespace gapwright::waveforms {

// An element's figures over a stretch of time: constant, or on their way from `start` to `end`.
struct Piece {
    double from = 0;  // s
    double to = 0;
    prepared::Element start;
    prepared::Element end;
    bool moving = false;

    prepared::Element at(double time) const;
};

// One element that does not stay as it was: pieces without gaps from time 0 on, the last endless.
struct Mover {
    Side side = Side::input;
    ElementIndex element{};
    std::vector<Piece> pieces;

    const Piece& piece_at(double time) const;
};

// The movers of a schedule, for one specimen. Light is left out of what is prepared: a receiver is
// no mover.
std::vector<Mover> movers_of(const Circuit& circuit, std::span<const double> values,
                             const Conditions& conditions, const Schedule& schedule);

// Every instant, from 0 on, at which a piece or surge begins or ends; in order, each once.
std::vector<double> breaks_of(const std::vector<Mover>& movers, const Schedule& schedule);

}  // namespace gapwright::waveforms
