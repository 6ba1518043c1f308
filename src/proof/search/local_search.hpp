// Walks uphill in a box: from a point towards the worst of one target, many walks side by side.
// Internal to the layer.
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

#include "proof/search/search_space.hpp"

namespace gapwright {

// How bad points are: a row a point, a column a target; more is worse, NaN where there is no
// answer.
struct Scores {
    std::size_t targets = 0;
    std::vector<double> bad;

    double at(std::size_t row, std::size_t target) const { return bad[row * targets + target]; }
};
using ScorePoints = std::function<Scores(const std::vector<Point>& points)>;

// One walk: of one target, from a point.
struct Walk {
    std::size_t target = 0;
    Point at;
    double bad = 0;
    // By coordinate: the most that a step across its range changed the score, anywhere on the way.
    std::vector<double> effects = {};
    // The coordinates that it may move; empty: all.
    std::vector<std::size_t> free = {};
};

// Walks until no step of one coordinate, near or far, nor several such steps together make the
// target worse by more than a millionth. Steps go to the ends and quarters of each range and, about
// where the walk stands, by shares of it from an eighth to a ten-thousandth: a worst case on a
// ridge lies inside some ranges, and often within a thousandth of them (a pattern search after
// Hooke & Jeeves 1961, with all scales at once).
void walk_uphill(std::vector<Walk>& walks, const ScorePoints& score);

// Leads walks that ended inside some ranges along the ridge that they stand on, where any step of
// one coordinate leads down: one coordinate that matters is set elsewhere, the others that lie
// inside their ranges follow it, and so on while that gains and fewer than
// `budget` points have been looked at.
void follow_ridges(std::vector<Walk>& walks, const ScorePoints& score, std::size_t budget);

// As walk_uphill with few steps about where a walk stands, a sixteenth and a thousandth of each
// range, for a search that looks again and again.
void walk_coarsely(std::vector<Walk>& walks, const ScorePoints& score);

// As walk_uphill by steps to the ends of each range alone, at most `rounds` of them: for scores
// that take milliseconds each.
void walk_along_ends(std::vector<Walk>& walks, const ScorePoints& score, int rounds);

}  // namespace gapwright
