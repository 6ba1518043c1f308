// Sums over a style's charts, and the table of them.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "reference/drawn_charts/verdict.hpp"

namespace gapwright::drawn_charts {

struct Tally {
    std::string name;
    int charts = 0;
    int curves = 0;  // to be read
    int right = 0;
    int readable = 0;  // of them, without those of photos for which a caution is the right answer
    int readable_right = 0;
    int part = 0;
    int cautioned = 0;
    int silent = 0;
    int refused = 0;
    int traps = 0;
    int followed = 0;     // of them
    int needless = 0;     // charts read right under a caution that was not due
    int missing = 0;      // charts without a caution that was due
    int understated = 0;  // wrong by far more than the caution said
    int second = 0;       // read right once the person gave further places
    int lost_others = 0;  // charts of which nothing was written because of one curve
    int points = 0;
    int covered = 0;
    double squares = 0;

    void add(const Chart& chart, const Answer& answer);
    // The curves of a second try: of those that were refused or read in part.
    void add_second(const Answer& first, const Answer& answer);
    void add(const Tally& other);
    double share_read() const { return readable == 0 ? 1 : double(readable_right) / readable; }
    // 1 where the stated deviations are just what errors are.
    double spread() const { return points == 0 ? 0 : std::sqrt(squares / points); }
    double coverage() const { return points == 0 ? 1 : double(covered) / points; }
};

// Which curves a person would give further places: those refused or read in part.
std::vector<bool> wanting(const Answer& answer);
// A line for each chart that was not simply read right.
std::string remarks(const Chart& chart, const Answer& answer);
std::string table(const std::vector<Tally>& tallies);

}  // namespace gapwright::drawn_charts
