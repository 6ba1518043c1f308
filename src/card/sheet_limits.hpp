// Limits as data sheets print them: one of them alone, or the columns minimum, typical, maximum.
#pragma once

#include <expected>
#include <optional>
#include <string>
#include <string_view>

#include "card/key.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// Such a text as a spread. A limit that is not printed is what is common between a type's least and
// greatest (common practice, sheet_reach); a typical value that is not printed is the middle by
// ratio.
struct SheetLimits {
    std::string spread;      // as parse_spread takes it, in the dimension's unit
    std::string conditions;  // " at 5 mA, 5 V"; may be empty
    bool one_sided = false;  // a limit was not printed
};

// "≥ 50 %" (also ">=", "min"), "≤ 1.4 V" ("<=", "max"), "1.1 / 1.2 / 1.4 V" with "-" for a column
// that is empty, each with conditions behind " at ". None where the text is no such form. Errors:
// those of parse_quantity; empty_spread where the columns are not in order or hold no limit.
std::optional<TextExpected<SheetLimits>> sheet_limits(std::string_view text, Dimension dimension,
                                                      Key key);

// How many times the least value of a type its greatest commonly is.
double sheet_reach(Key key);

}  // namespace gapwright
