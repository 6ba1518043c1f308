// Words that the test sheet's text, HTML and page share.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "link/link.hpp"
#include "link/meter.hpp"
#include "report/bench_report.hpp"

namespace gapwright {

// A judgement, and a link's verdict, by sign and word, never by colour alone: "✓ in band",
// "! suspicious", "✗ wrong"; "✓ good", "! undecided", "✗ faulty", "✗ unexplained".
std::string judgement_sign(Judgement judgement);
std::string link_verdict_sign(LinkVerdict verdict);

// "38.0 mV", no finer than the meter shows it; "over range" for infinity.
std::string reading_words(const Meter& meter, const Measurement& measurement, double value);
// "36.4 … 39.1 mV", with enough digits to tell the ends from the nominal; "above 20 MΩ"; "over
// range".
std::string band_words(const Meter& meter, const Measurement& measurement, const ReadingBand& band);
// "about 24 V", "18 … 22 V", "above 1 MΩ", "over range"; "about 0 V" for what is next to nothing
// beside the band.
std::string hint_range(const Meter& meter, const Measurement& measurement, const ReadingBand& band,
                       const SheetHint& hint);
// "Q1.collector is open, K1 is open, or one of 4 others". Requires suspects.
std::string hint_suspects(const FaultDictionary& dictionary, const SheetHint& hint);

// How likely, in percent, "51 %"; "under 0.1 %" and "over 99.9 %" beyond these.
std::string share_words(double share);

// A suspect as it is told: its text, or "no fault".
std::string suspect_text(const FaultDictionary& dictionary, std::size_t suspect);

// Lines of the sheet that are taken with the link set the same way, one after the other.
struct SheetSection {
    std::string title;               // "Isolation", "Unpowered", "State on"
    std::string how;                 // "supplies on; P1 high, S1 closed"
    std::vector<std::size_t> lines;  // indices in the sheet's
};
std::vector<SheetSection> sheet_sections(const BenchAnswer& answer);
// How the link is set for one measurement, as in a section.
std::string setting_words(const Link& link, const Measurement& measurement);

// How one part, or the supplies, are set for it: "closed", "high", "taken off"; empty where nothing
// sets it.
std::string part_setting(const Link& link, const Measurement& measurement, std::size_t part);
std::string supply_setting(const Measurement& measurement);

// What the verdict says, a sentence or two.
std::string verdict_sentence(const Link& link, const BenchVerdict& verdict);

// Why a reading is asked for again. Requires a verdict that asks.
std::string again_words(const BenchAnswer& answer);
// "explains 4 of 4 readings", and where no further reading tells it from the first, that.
std::string suspect_reason(const BenchVerdict& verdict, std::size_t suspect);
// "voltage at coil in state on; red lead: coil; black lead: output return; good links read 36 …
// 39 mV". Requires verdict and next.
std::string next_words(const BenchAnswer& answer);

// With what, and in which conditions, the bands were made; a sentence each.
std::vector<std::string> band_conditions(const BenchAnswer& answer);

// What to heed where the hand is; sentences.
std::vector<std::string> bench_cautions(const Link& link);

}  // namespace gapwright
