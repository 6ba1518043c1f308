// What several sessions of one link tell together: what changed on one specimen from one session to
// the next, and how several specimens lie beside one another.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/record_reading.hpp"
#include "link/meter.hpp"

namespace gapwright {

// Which specimen a session was of: what its record says, else whoever measured; empty where neither
// is known, which counts as one specimen.
std::string specimen_of(const BenchRecord& record);

// A reading that is not what the session before had, by more than the meter's errors.
struct ChangedReading {
    std::size_t measurement = 0;
    double before = 0, after = 0;          // V, A or Ω; infinity for over range
    std::size_t earlier = 0, session = 0;  // of the sessions: where either was read
};

struct SpecimenValue {
    std::string specimen;
    double value = 0;  // the last that was read of it
    Judgement judgement = Judgement::in_band;
    // Far from the others: a modified z-score above 3.5 of five or more (Iglewicz and Hoaglin 1993,
    // from memory).
    bool apart = false;
};

// One measurement, read on two specimens or more.
struct PooledReading {
    std::size_t measurement = 0;
    ReadingBand band;  // of good links
    std::vector<SpecimenValue> values;
    double lowest = 0, median = 0, highest = 0;
};

struct SessionHistory {
    std::vector<ChangedReading> changes;  // in the order of the sessions
    std::vector<std::string> specimens;   // in the order of their first sessions
    std::vector<PooledReading> pooled;    // in the order of the measurements
};

// `bands` are by measurement, as reading_bands gives them.
SessionHistory history_of(const std::vector<PastSession>& sessions,
                          const std::vector<Measurement>& measurements, const Meter& meter,
                          const std::vector<ReadingBand>& bands);

}  // namespace gapwright
