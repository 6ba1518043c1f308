// What stands in for a limit that no card states: the least that is common in the trade for parts
// of that kind and size. All of it is common practice, each with its reason beside it in the table.
#pragma once

#include <optional>
#include <string_view>

#include "card/description.hpp"
#include "card/key.hpp"

namespace gapwright {

struct AssumedLimit {
    double value = 0;  // in the key's inner unit
    std::string_view
        reason;  // why so much: "as light-dependent resistors of 4 mm have"; no full stop
};

// For a limit that `description` does not state; none where another limit that it states covers the
// same (a coil with a largest power needs no largest voltage), and for what has no usual limit: a
// load is what the link is for, and only its maker knows what it stands.
std::optional<AssumedLimit> assumed_limit(const Description& description, Key key);

// Where a power or current that is stated for 25 °C alone falls to nothing: the hottest that parts
// of this kind may be, K. None where a description of that kind is not derated.
std::optional<double> assumed_zero_rating_at(Kind kind);

}  // namespace gapwright
