// What the program read against what was drawn.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "reference/drawn_charts/clicks.hpp"

namespace gapwright::drawn_charts {

// Bounds are the aim's and own choice: 2 % of full scale across the curve; half of its length.
constexpr double right_within = 0.02;
constexpr double half_of_it = 0.5;

enum class Reading {
    right,
    part,       // right, but less than half of the curve
    cautioned,  // wrong, and the program said that it may be
    silent,     // wrong without a word
    refused
};

struct Judged {
    Reading reading = Reading::refused;
    bool due = true;     // to be read; else its seed was a trap, right to be refused
                         // (or read, where the curve itself runs there)
    double worst = 0;    // of its points, a share of full scale across the curve
    double extent = 0;   // of the curve's length
    double squares = 0;  // of errors over their stated deviations
    int points = 0;
    int covered = 0;  // whose truth lies within 1.96 of the stated deviation
};

struct Answer {
    int exit_status = -1;
    bool cautioned = false;
    double wrong_by = 0;  // the largest "wrong by … %" of a caution, a share; 0 where none says it
    std::string command;
    std::string said;  // cautions and reasons
    std::vector<Judged> curves;
};

// What the points in a CSV file's text are worth.
std::vector<Judged> judged(const Chart& chart, const std::string& points, bool cautioned);

// Runs the program in the folder of the chart's picture; `further`: which curves get more seeds.
Answer ask_program(const Chart& chart, const std::filesystem::path& folder,
                   const std::vector<bool>& further);

}  // namespace gapwright::drawn_charts
