// `gapwright bench`: what to measure on a built link, and what readings say of it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <stop_token>
#include <string>

#include "app/exit_status.hpp"

namespace gapwright {

struct BenchCommandOptions {
    std::string file;
    bool json = false;
    std::uint64_t seed = 1;
    std::string output;       // -o: the sheet as HTML
    std::string form;         // an empty form for readings, as CSV
    std::string readings;     // a CSV of readings
    bool names = false;       // list what can be measured, and nothing else
    bool enter = false;       // a guided session at the terminal
    std::string save;         // readings of that session, as CSV
    std::string board;        // a kind of board, planned as `build` does
    std::string plan;         // or a plan of one
    std::string temperature;  // as typed, at the bench
    std::string light;        // as typed, on an open gap
    std::string age;          // as typed: how long its emitters have been lit
    std::size_t lines = 14;   // of the sheet, at most
    bool prove = false;       // the link as measured
    bool record = false;      // add to the bench record
    std::string who;          // for the record
    std::string specimen;     // for the record: which of several
    bool history = false;     // tell of the sessions before, and nothing else
    std::string points;       // of these, a folder: points of parts, as CSV
    bool replace = false;     // files that are there
};

ExitStatus run_bench(const BenchCommandOptions& options, const std::stop_token& stop);

}  // namespace gapwright
