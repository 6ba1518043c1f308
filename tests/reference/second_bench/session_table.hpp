// Many sessions of many links, counted.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "reference/second_bench/second_session.hpp"

namespace gapwright::reference {

struct SessionPlan {
    std::vector<std::string> links;  // paths of link files
    std::size_t faulty = 50;         // sessions of each link
    std::size_t good = 20;
    std::uint64_t seed = 1;
    bool tell_each = false;  // every session in a line, not the misses alone
    JunctionTest junction_test = JunctionTest::constant;
};

// How often a share of the first suspect was right, of verdicts that accuse or clear.
struct Calibration {
    static constexpr std::array<double, 4> ends{0.5, 0.9, 0.99, 1.0000001};
    struct Bin {
        std::size_t told = 0, right = 0;
        double shares = 0;  // their sum
    };
    std::array<Bin, 4> bins{};  // below 0.5, 0.5 … 0.9, 0.9 … 0.99, above
    void add(double share, bool right);
};

struct SessionCounts {
    std::string link;
    std::size_t faulty = 0, good = 0;
    std::array<std::size_t, outcomes> of{};
    std::size_t across = 0, across_found = 0;  // faults across the gap, and those found
    std::size_t powered_while_bridged = 0;
    std::size_t endless = 0;
    std::size_t not_understood = 0;  // sessions whose first suspect's words are new to this bench
    std::size_t readings = 0;        // of all faulty sessions
    Calibration calibration;

    std::size_t count(Outcome outcome) const { return of[static_cast<std::size_t>(outcome)]; }
    // Faulty links that had something to be found.
    std::size_t findable() const { return faulty - count(Outcome::harmless); }
    double share(std::size_t count_of, std::size_t whole) const {
        return whole ? static_cast<double>(count_of) / static_cast<double>(whole) : 0;
    }
    double found_or_tie() const {
        return share(count(Outcome::found) + count(Outcome::real_tie), findable());
    }
    double wrong() const { return share(count(Outcome::wrong), findable()); }
    double false_alarms() const {
        return share(count(Outcome::false_alarm) + count(Outcome::unexplained_good), good);
    }
    SessionCounts& operator+=(const SessionCounts& more);
};

struct SessionTable {
    std::vector<SessionCounts> links;
    SessionCounts all;
    std::vector<std::string> lines;  // of misses, or of every session
};

// Each line of the table is also given to `say` as soon as it is known.
SessionTable run_sessions(const SessionPlan& plan, void (*say)(const std::string&) = nullptr);

std::string table_text(const SessionTable& table);

// The ten links of this bench.
std::vector<std::string> bench_links(const std::string& project_folder);

}  // namespace gapwright::reference
