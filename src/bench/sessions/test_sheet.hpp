// The few measurements that tell most of a built link, with what they should read.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "link/link.hpp"

namespace gapwright {

// Faults that make a line read about so.
struct SheetHint {
    double lowest = 0;  // V, A or Ω; infinity for over range
    double highest = 0;
    std::vector<std::size_t> suspects;  // of the dictionary, the likeliest first
};

struct SheetLine {
    std::size_t measurement = 0;  // of the dictionary
    ReadingBand band;
    std::vector<SheetHint> hints;  // outside the band only, the likeliest first, three at most
};

struct TestSheet {
    std::vector<SheetLine> lines;  // isolation, then unpowered, then state by state
    // What to look at besides, for a gap made by hand: one sentence each.
    std::vector<std::string> checks;
    // Suspects that no line of the sheet shows: they read as a good link does.
    std::vector<std::size_t> unseen;
};

struct SheetOptions {
    std::size_t most_lines = 14;
    std::uint64_t seed = 1;
};

// Chosen one after the other: the measurement that tells the most pairs of faults apart (a good
// link among them) that none before it does, for what it costs. Two faults are told apart by a
// measurement when nine tenths of the readings of one lie clear of nine tenths of the other's.
// The isolation of the sides is always on the sheet, first.
TestSheet test_sheet(const Link& link, const FaultDictionary& dictionary,
                     const SheetOptions& options);

}  // namespace gapwright
