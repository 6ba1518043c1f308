// All that a typed text can be read as. Internal to the layer.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "units/quantity.hpp"
#include "units/typed_spread.hpp"

namespace gapwright {

struct TypedReading {
    std::string text;  // as files write it
    std::string_view why;
    bool converted = false;  // its figures had to be reckoned
};

// Amounts that can be read so or so are read alike throughout.
std::vector<TypedReading> readings_of(const TypedSpread& typed);

// `write "20 mA" or "20 A"`, with why where a reading has that.
std::string write_one_of(std::span<const TypedReading> readings);

// Why a text that has several readings, or one that has to be reckoned, is not just taken. `text`
// is what was typed.
TextError undecided(const TypedSpread& typed, std::string_view text,
                    std::span<const TypedReading> readings);

}  // namespace gapwright
