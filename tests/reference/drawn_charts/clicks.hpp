// What a person does with a chart: marks and seeds, each about a pixel off, and the command that
// the documentation tells them to type.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "reference/drawn_charts/recipes.hpp"

namespace gapwright::drawn_charts {

struct Chart {
    std::string name;
    Recipe recipe;
    Subject subject;
    std::string file;                  // its picture's name
    std::string arguments;             // after `gapwright`, but for the curves
    std::vector<std::string> seeds;    // of each curve, "310,220"
    std::vector<std::string> further;  // those and more, where the program asks for them
    int lost = -1;                     // the curve, if any, whose seed lies where nothing is
};

// Draws, takes and clicks; the picture is written into the folder.
Chart make_chart(const Style& style, int number, const std::filesystem::path& folder);

// The whole command; the curves with further places as told.
std::string command(const Chart& chart, const std::vector<bool>& further);

}  // namespace gapwright::drawn_charts
