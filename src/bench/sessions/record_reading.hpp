// The records of a link's sessions, read back.
#pragma once

#include <expected>
#include <filesystem>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "bench/sessions/bench_record.hpp"

namespace gapwright {

// One session that a record tells of.
struct PastSession {
    std::string file;    // its name, "0007-2026-11-26.toml"
    BenchRecord record;  // its readings as far as they can be read
    // Those of measurements that the link still has.
    std::vector<TakenReading> readings = {};
    // What cannot be used any more, by name: "voltage at coil, on".
    std::vector<std::string> unknown = {};
};

struct PastSessions {
    std::vector<PastSession> sessions;    // in the order of their numbers
    std::vector<std::string> unreadable;  // records that are none, each with its reason
};

// The sessions in the folder beside `link_file`; `measurements` are those that the link has now.
// None where there is no folder. A record that cannot be read takes no other along. Errors, in
// words with the system's reason: the folder cannot be read.
std::expected<PastSessions, std::string> past_sessions(
    const std::filesystem::path& link_file, const std::vector<Measurement>& measurements);

}  // namespace gapwright
