// Every arrangement that this program knows, and the drafts that they give for a need.
#pragma once

#include <span>
#include <vector>

#include "design/arrangements/arrangement.hpp"
#include "design/needs/draft.hpp"
#include "link/need.hpp"

namespace gapwright {

std::span<const Arrangement> input_arrangements();
std::span<const Arrangement> output_arrangements();

// Whether what the load does with the input side dead is what the need asks.
bool serves_when_dead(const Need& need, const Arrangement& output);

// Whether that output side could be built for the need with some gap.
bool fits_some_gap(const Need& need, const Arrangement& output);

// A draft for every way to meet the need that fits: each arrangement of the input side, without and
// with an indicator, by each gap, by each arrangement of the output side that gives the polarity
// asked for. Whether any values make it work is not looked at. In the order of gaps, then of the
// lists; empty where nothing fits.
std::vector<Draft> drafts_of(const Need& need);

}  // namespace gapwright
