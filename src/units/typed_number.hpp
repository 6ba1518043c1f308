// Numbers as people write them: decimal commas, digits in groups, fractions. Internal to the layer.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "units/quantity.hpp"
#include "units/text_scanner.hpp"

namespace gapwright {

struct TypedNumber {
    TextStretch place = {};
    std::vector<std::string> texts = {};   // as files write it; several: it can be read so or so
    std::optional<TextError> change = {};  // what files would not take of it
    bool fraction = false;                 // "1/4"
};

// The number that comes next, with the spaces before it passed; none where none does.
std::optional<TypedNumber> typed_number(TextScanner& scanner);

}  // namespace gapwright
