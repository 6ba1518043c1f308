// How people write units, as tables. Internal to the layer.
#pragma once

#include <span>
#include <string_view>

#include "units/dimension.hpp"

namespace gapwright {

enum class Prefixed { yes, no };

// What people write for one unit: words in small letters without spaces and full stops, "|" between
// them. A word in several rows of a dimension means one or the other. A number x in it is
// x · factor + offset in `unit`.
struct UnitWords {
    Dimension dimension;
    std::string_view words;
    std::string_view unit;  // as files write it
    Prefixed prefixed = Prefixed::yes;
    double factor = 1;
    double offset = 0;
    std::string_view why = {};  // for the remedy
};
std::span<const UnitWords> unit_words();

// What people write for a prefix, in small letters, and the prefix of files. "m" is in two rows.
struct PrefixWord {
    std::string_view word;
    std::string_view meant;
};
std::span<const PrefixWord> prefix_words();

// What a number of the dimension means without its unit.
struct AloneRow {
    Dimension dimension;
    std::string_view units;     // with "|" between them where one of several may be meant
    std::string_view prefixes;  // that people write without the unit: no other unit is usual
    double first_below = 0;     // numbers below this are in the first of `units`
};
const AloneRow& alone_row(Dimension dimension);

}  // namespace gapwright
