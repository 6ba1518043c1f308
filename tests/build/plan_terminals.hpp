// What a plan's file joins, read a second time: from its table of pins, holes, wires and cuts, and
// from what is known of such boards, without the program's own boards, plans or reading back.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

namespace gapwright::testing_support {

struct PlanTerminals {
    std::map<std::string, std::string> conductor;      // by part and pin, "R1 1"
    std::map<std::string, std::pair<int, int>> place;  // its column and row, from 0
    std::vector<std::string> mistakes;                 // holes used twice, pins with two
};

PlanTerminals plan_terminals(const std::string& csv);

}  // namespace gapwright::testing_support
