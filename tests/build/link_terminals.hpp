// What a link file's text joins, read a second time: from its paths alone, by the rules that
// docs/files.md states for them, without the program's own reading, wiring or circuit.
#pragma once

#include <map>
#include <string>

namespace gapwright::testing_support {

// A node by name: "input return", "output coil", "output supply > R2 > U1 1" where the text gives
// it none.
struct LinkTerminals {
    // By part and end in its path: "R1 from", "R1 to", "Q1 control"; a gap's half has its side
    // before: "input U1 from". A logic output has its "to" alone.
    std::map<std::string, std::string> ends;
    // By part and pin as a builder knows them: "R1 1", "Q1 base", "U1 6 base", "input supply +".
    // A pin that nothing may be joined to is on a node of its own.
    std::map<std::string, std::string> pins;
    // By part of three pins in a row: its pins from left to right, "ebc".
    std::map<std::string, std::string> rows;
};

// Parts are written one a line, "NAME = { ... }"; cards come from the project's folder of them.
LinkTerminals link_terminals(const std::string& text);

}  // namespace gapwright::testing_support
