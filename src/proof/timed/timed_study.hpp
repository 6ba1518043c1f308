// Numbers of a link in time over its whole spread: nominal, worst case, population. Internal to the
// layer.
//
// A waveform takes milliseconds where a point at rest takes a fraction of a microsecond, so there
// are fewer of them: measures of one schedule share waveforms, the search is a sparing one, and
// what takes longest is only looked at where the others are worst.
#pragma once

#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "population/specimen.hpp"
#include "proof/cases/case.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/proof.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "proof/verdict.hpp"
#include "time/timed_measure.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

enum class Search : unsigned char {
    own,     // worst case and population of its own
    guided,  // worst case by single effects alone, no population
    others,  // at the worst cases of those before and at a few of those drawn; with none before, by
             // single effects too
};

struct StudyItem {
    TimedMeasure measure;
    Search search = Search::own;
    Sense sense = Sense::at_most;  // which way is worse
    bool magnitude = false;        // either sign counts
    std::optional<Derating> derating = {};
    std::optional<double> limit =
        {};  // the value may go up to here; none: no stretch is looked for
};

struct Studied {
    std::string failure;  // why it was not followed; the figures are then NaN
    double nominal = 0;
    double lowest = 0;  // of every specimen looked at
    double highest = 0;
    double worst = 0;  // one of both, but where a derated bound moves
    Specimen worst_specimen;
    Case worst_case;
    std::optional<Stretch> stretch = {};
    std::string settling = {};  // of an item beyond its limit: what would settle it; or nothing
    std::vector<double> drawn;  // by specimen of the population
};

struct Study {
    std::vector<Studied> items;
    std::size_t samples = 0;
    std::size_t searched = 0;      // specimens
    Strays strays = Strays::none;  // that the nominal specimen's waveforms assumed
};

// Fails only where the user stops it. A schedule that cannot be followed takes no other along.
std::expected<Study, ProofFailure> study_in_time(const ProofTask& task,
                                                 const std::vector<StudyItem>& items);

}  // namespace gapwright
