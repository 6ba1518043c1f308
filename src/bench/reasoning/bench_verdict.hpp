// What readings come to: each against its band, the link's verdict, suspects with why, and what to
// measure next.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/isolation_check.hpp"
#include "bench/reasoning/next_measurement.hpp"
#include "bench/reasoning/outlier.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "bench/sessions/guided_session.hpp"
#include "link/link.hpp"

namespace gapwright {

struct JudgedReading {
    TakenReading reading;
    ReadingBand band;
    Judgement judgement = Judgement::in_band;
    bool wrong_sign = false;  // with the other sign it would be in band
};

// A suspect as a person is told of it.
struct SuspectWords {
    std::string text;  // "R3 reads as about 100 kΩ instead of 10 kΩ", "Q1.base is open", "no fault"
    double share = 0;  // how likely, 0 … 1
    std::size_t explained = 0;  // of the readings: those that this fault's specimens give
    std::size_t readings = 0;
    bool alike = false;  // cannot be told from the first by any further reading
    // The part of the link that drives, where this fault is one of a driver's: it was read at the
    // board, not at its own pin.
    std::optional<std::size_t> driver = {};
    // Those that this fault is about: of the link with which the dictionary was made, whose own
    // parts come first.
    std::vector<std::size_t> parts = {};
};

enum class LinkVerdict : std::uint8_t {
    good,         // the sides are apart, no fault is sure enough, and nothing else is left open
    undecided,    // more readings are needed, or none would help
    faulty,       // one suspect, or several that cannot be told apart
    joined,       // a way across the gap was measured: nothing else counts
    unexplained,  // none of the faults known explains the readings
};
std::string_view link_verdict_word(LinkVerdict verdict);

struct BenchVerdict {
    std::vector<JudgedReading> readings;  // each measurement once: the last reading of it counts
    IsolationCheck isolation;
    std::optional<Outlier> again;  // to be read again; before it decides where somebody is asked
    LinkVerdict verdict = LinkVerdict::undecided;
    std::vector<SuspectWords> suspects;  // the likeliest first, ten at most
    double unexplained = 0;
    std::optional<Proposal> next;
    std::vector<std::string> unseen = {};  // suspects that no reading would show
    bool two_faults = false;  // single faults explained the readings badly: pairs were looked at
};

// Judges readings of a link whose dictionary and bands these are; of a measurement that was taken
// again the last reading counts. Where single faults explain the
// readings badly, the likely ones are tried two at a time, which takes as long as simulating some
// seventy faults. `link` is the dictionary's link as it should be.
BenchVerdict bench_verdict(const Link& link, const FaultDictionary& dictionary,
                           const std::vector<ReadingBand>& bands,
                           const std::vector<TakenReading>& readings,
                           const SessionOptions& options);

}  // namespace gapwright
