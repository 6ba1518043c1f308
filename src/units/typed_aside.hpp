// What people put beside a quantity and files have no words for: "max 20 mA", "24 V +10 % -15 %".
// Internal to the layer.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "units/dimension.hpp"
#include "units/text_scanner.hpp"

namespace gapwright {

struct TypedAside {
    TextStretch place;    // what files have no words for
    std::string message;  // why
    std::string instead;  // the text without it, or with it as limits
};

// None where there is nothing of the kind. `instead` is not yet held against what files take.
std::optional<TypedAside> typed_aside(std::string_view text, Dimension dimension);

}  // namespace gapwright
