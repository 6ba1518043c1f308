// The values of resistors with which everything holds, as bars on one logarithmic axis.
#pragma once

#include <string>
#include <vector>

#include "draw/picture.hpp"

namespace gapwright {

// All in Ω and above zero.
struct ValueWindowRow {
    std::string part;
    std::string taken_text;  // "270 Ω + 22 Ω"
    double taken = 0;
    double lowest = 0;  // on offer at all
    double highest = 0;
    // Everything holds between these; above holds_to where no value holds.
    double holds_from = 0;
    double holds_to = 0;
    std::string ends_below;  // what breaks first below; empty where the bar reaches `lowest`
    std::string ends_above;
    std::vector<double> candidates;
};

struct ValueWindowPlot {
    std::string title;
    std::vector<ValueWindowRow> rows;  // at least one
};
Picture draw_value_windows(const ValueWindowPlot& plot);

}  // namespace gapwright
