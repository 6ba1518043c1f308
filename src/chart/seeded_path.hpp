// One path through all places that a person pointed at.
#pragma once

#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/curve_walk.hpp"
#include "chart/stroke.hpp"

namespace gapwright {

inline constexpr double seed_distance =
    6;  // px from the path to a seed that lies on it; own choice

struct SeededPath {
    std::vector<SeenPoint> seen = {};
    StrokeLook look = {};
    WalkEnd first_end = WalkEnd::ink_ends;
    WalkEnd last_end = WalkEnd::ink_ends;
};

// Pixels from a path, as a chain of straight pieces, to a place.
double distance_from(const std::vector<SeenPoint>& seen, PixelPoint at);

// A clean stroke 10 to 25 px from a seed where itself there is none, because the curve crosses a
// grid line of its own tone there: the one whose path passes the seed. Nothing where none does, or
// two different ones do.
std::optional<StrokeStart> start_near(const Chart& chart, PixelPoint seed);

// Both ways from `start`, the stroke at the first seed, through as many of the other seeds as can
// be reached; fewer than 3 places where not even the start is clean.
SeededPath path_from(const Chart& chart, const StrokeStart& start,
                     const std::vector<PixelPoint>& seeds);

}  // namespace gapwright
