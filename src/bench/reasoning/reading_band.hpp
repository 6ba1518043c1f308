// What a good link reads, and what to think of a reading against that.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>
#include "bench/reasoning/fault_dictionary.hpp"

namespace gapwright {

// Of one measurement on good links, the meter's error included: V, A or Ω; infinity for over range.
struct ReadingBand {
    double nominal = 0;
    double lowest = 0;   // 99 % of good links lie from here …
    double highest = 0;  // … to here
    double least = 0;    // of all good links that were simulated, to the meter's limits of error
    double most = 0;
};

// By measurement. The same dictionary and seed give the same bands.
std::vector<ReadingBand> reading_bands(const FaultDictionary& dictionary, std::uint64_t seed);

enum class Judgement : std::uint8_t {
    in_band,
    suspicious,  // outside the band, but some good links read so
    wrong,       // no good link that was simulated reads so
};
Judgement judge(const ReadingBand& band, double value);
std::string_view judgement_word(Judgement judgement);  // "in band", "suspicious", "wrong"

}  // namespace gapwright
