// How far from the cliff: by how much every spread may be widened before a bound gives way.
//
// At a stretch k every spread (parts, supplies, temperature, light, age) reaches k times as far to
// either side of its nominal, as far as nature allows (search_space.hpp). The stretch of a bound is
// the greatest k for which it holds in the worst case. Internal to the layer.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "population/engine.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/worst_case.hpp"

namespace gapwright {

// Up to here is looked: what holds with every spread three times as wide gives way to nothing that
// a spread could tell.
inline constexpr double most_stretch = 3;

// A bound: of the target's badness, and what it is when nothing varies. Bounds that are figures of
// parts themselves (the voltage that pulls a relay in) are widened like all others.
struct StretchBound {
    Target target;
    double limit = 0;  // the target's badness may be this at most
    double nominal_limit = 0;
    Point worst;         // where its worst case was found
    bool holds = false;  // there, so that it holds with the spreads as they are
};

struct Stretched {
    double factor = most_stretch;
    bool beyond = true;                  // no end was found up to `factor`
    std::optional<std::size_t> through;  // the coordinate that moves it most where it gives way
};

enum class StretchSearch : unsigned char {
    thorough,  // wherever in the widened box it gives way first
    sparing,   // in the direction of the worst case alone: of what takes milliseconds each
};

// The stretch of each bound; a specimen without an answer counts as one that does not hold. Bounds
// without any spread in the link never give way, or do so at 0.
std::vector<Stretched> find_stretches(const SearchSpace& space, const Measurer& measurer,
                                      const std::vector<StretchBound>& bounds, StretchSearch search,
                                      const EngineOptions& options);

}  // namespace gapwright
