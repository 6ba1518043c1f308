// A guided session at the terminal.
#pragma once

#include <cstddef>
#include <functional>
#include <iosfwd>
#include <string>
#include <vector>

#include "bench/reasoning/suspicion.hpp"
#include "bench/sessions/guided_session.hpp"
#include "link/link.hpp"
#include "report/bench_report.hpp"

namespace gapwright {

// How far a session is.
struct Prompted {
    std::vector<TakenReading> readings = {};       // all of them
    std::vector<std::size_t> not_measurable = {};  // measurements that were skipped
    bool ended = false;                            // by the person, or the input's end
};

// Where the session's words go; false ends the session.
using Say = std::function<bool(const std::string&)>;

// Greets, and asks whether the sides are apart, which needs nothing simulated: from all to all,
// then, where there is a way across, where it ends. `so_far` holds readings that are known already.
Prompted prompt_for_isolation(const Link& link, const NodeHoles& holes, Prompted so_far,
                              std::istream& in, const Say& say);

// Asks for one reading after the other, what tells most, until the session ends, the input ends, or
// the person does. `answer` is told with each verdict in it. `so_far` is what was asked before.
Prompted prompt_for_readings(BenchAnswer answer, const SessionOptions& session, Prompted so_far,
                             std::istream& in, const Say& say);

}  // namespace gapwright
