// Links made up for what they join, not for what they do: every kind of part that a path can hold,
// on either side, either way round, between supply, return and nodes of their own.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace gapwright::testing_support {

// What besides resistors a path may hold, as a file writes it, and as the test calls it.
struct PartVariant {
    std::string name;  // "npn, pins bce"
    std::string text;  // "{ kind = ... }"
    std::string letter;
    std::string control;  // "base", "gate"; empty where there is none
};
const std::vector<PartVariant>& part_variants();
const std::vector<PartVariant>& gap_variants();

struct TerminalLink {
    std::string text;
    std::vector<std::string> held;  // "input contact", "gap darlington of six pins, base used"
};

// The same for the same number. Of any `part_variants().size()` numbers in a row each variant is
// held on each side; of any `gap_variants().size()` each gap.
TerminalLink terminal_link(std::uint64_t number);

}  // namespace gapwright::testing_support
