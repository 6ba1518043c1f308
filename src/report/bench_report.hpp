// A test sheet, and what readings of it came to: for a terminal, as JSON, and as one HTML file to
// print and write on.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// Holes of a board in which something of a node stands, so that a lead can be held there, by side
// and node of the link: {input, 1} → "d7", "d12".
using NodeHoles = std::map<std::pair<Side, Node>, std::vector<std::string>>;

// Those of a plan: where bodies stand first, then where leads leave the board. Requires the link's
// own wiring (wiring_of), and a plan of it.
NodeHoles node_holes_of(const Link& link, const Wiring& wiring, const Plan& plan);

// What a test sheet is told from. Refers to link, dictionary and sheet.
struct BenchAnswer {
    const Link& link;
    const FaultDictionary& dictionary;
    const TestSheet& sheet;
    // By measurement of the dictionary, as reading_bands gives them. Needed only where the verdict
    // proposes a next measurement, which need not be on the sheet.
    std::vector<ReadingBand> bands = {};
    std::optional<BenchVerdict> verdict = {};  // none: nothing was read yet
    NodeHoles holes = {};                      // empty: points are told by node and pins alone
    Spread temperature = bench_temperature;    // K, at the bench
    Spread light = exactly(0);                 // lx, on an open gap
    double age = 0;                            // s in service so far
    std::vector<std::string> built = {};       // what is told of the link as measured, by sentence
};

// For a terminal, at most 100 columns wide unless names are long. Without a verdict: the sheet as a
// table, where the leads go, checks, what the sheet does not see. With one: the readings with their
// judgements, suspects and the next measurement.
std::string bench_text(const BenchAnswer& answer, bool colour);

// What can be measured on a link, by every name that readings may use: a line each, with the states
// in which it is read.
std::string names_text(const Link& link, const std::vector<Measurement>& measurements);

// What to heed at the bench, before a guided session.
std::string cautions_text(const Link& link, bool colour);

// What a guided session says after a reading: how it is judged, and the likeliest suspects.
// Requires a verdict with readings.
std::string session_text(const BenchAnswer& answer, bool colour);
// What it asks for: what to measure, where the leads go, how the link is set.
std::string asking_text(const Link& link, const NodeHoles& holes, const Measurement& measurement);
// What a guided session says after an isolation reading: whether it is a way across.
std::string isolation_text(const Measurement& measurement, double value, bool colour);

// One JSON document; SI units, temperatures in °C, infinity as "over range". Keys: title, verdict
// ("good", "undecided", "faulty", "joined", "unexplained"; null without readings), isolation,
// again, sheet, checks, unseen, readings, suspects, unexplained, two_faults, next, meter,
// temperature, age, built.
std::string bench_json(const BenchAnswer& answer);

// One self-contained page, no script, for A4 and Letter: boxes to write readings into and to tick.
std::string bench_html(const BenchAnswer& answer);

}  // namespace gapwright
