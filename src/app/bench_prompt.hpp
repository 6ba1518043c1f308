// A guided session at the terminal.
#pragma once

#include <cstddef>
#include <functional>
#include <iosfwd>
#include <string>
#include <vector>

#include "bench/reasoning/suspicion.hpp"
#include "bench/sessions/guided_session.hpp"
#include "report/bench_report.hpp"

namespace gapwright {

struct PromptOptions {
    SessionOptions session;
    std::vector<TakenReading> readings = {};  // that are known already
};

// What a session came to.
struct PromptResult {
    std::vector<TakenReading> readings;       // all of them
    std::vector<std::size_t> not_measurable;  // measurements that were skipped
};

// Where the session's words go; false ends the session.
using Say = std::function<bool(const std::string&)>;

// Asks for one reading after the other until the session ends, the input ends, or the person does:
// first whether the sides are apart, then what tells most. `answer` is told with each verdict in
// it.
PromptResult prompt_for_readings(BenchAnswer answer, const PromptOptions& options, std::istream& in,
                                 const Say& say);

}  // namespace gapwright
