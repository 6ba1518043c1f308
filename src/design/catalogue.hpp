// Every arrangement that this program knows, and the drafts that they give for a need.
#pragma once

#include <span>
#include <vector>

#include "design/arrangement.hpp"
#include "design/draft.hpp"
#include "link/need.hpp"

namespace gapwright {

std::span<const Arrangement> input_arrangements();
std::span<const Arrangement> output_arrangements();

// A draft for every way to meet the need that fits: each arrangement of the input side, without and
// with an indicator, by each gap, by each arrangement of the output side that gives the polarity
// asked for. Whether any values make it work is not looked at. In the order of gaps, then of the
// lists; empty where nothing fits.
std::vector<Draft> drafts_of(const Need& need);

}  // namespace gapwright
