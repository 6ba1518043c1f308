// What the sessions of a link tell together: for a terminal, and as JSON.
#pragma once

#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/sessions/measured_points.hpp"
#include "bench/sessions/record_reading.hpp"
#include "bench/sessions/session_history.hpp"
#include "link/link.hpp"

namespace gapwright {

// Refers to all of it.
struct HistoryAnswer {
    const Link& link;
    const std::vector<Measurement>& measurements;
    const PastSessions& past;
    const SessionHistory& history;
    const std::vector<PartPoints>& parts;
};

// The sessions as a table, what changed, specimens beside one another, what could not be used.
std::string history_text(const HistoryAnswer& answer, bool colour);

// One JSON document, values in V, A and Ω, infinity as "over range". Keys: title, sessions,
// changes, specimens, pooled, points (their number by part), unreadable.
std::string history_json(const HistoryAnswer& answer);

}  // namespace gapwright
