// A guided session at the terminal.
#pragma once

#include <functional>
#include <iosfwd>

#include "report/bench_report.hpp"

namespace gapwright {

struct PromptOptions {
    SessionOptions session;
    std::vector<TakenReading> readings = {};  // that are known already
    // Called with every verdict, before anything is asked.
    std::function<void(const BenchVerdict&)> judged = {};
};

// Asks for one reading after the other until the session ends, the input ends, or the person does.
// `answer` is told with each verdict in it. Returns all readings.
std::vector<TakenReading> prompt_for_readings(BenchAnswer answer, const PromptOptions& options,
                                              std::istream& in, std::ostream& out);

}  // namespace gapwright
