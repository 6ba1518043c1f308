// One number with its unit, the piece that quantities and spreads are made of. Internal to the
// layer.
#pragma once

#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/preferred.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"

namespace gapwright {

// What stands in the text, its unit not yet looked at.
struct Amount {
    TextStretch place;  // number and unit
    WrittenNumber number;
    std::string_view unit;           // empty when there is none
    std::optional<LetterCode> code;  // instead of number and unit
};

// Reads an amount. Errors: not_a_quantity.
TextExpected<Amount> read_amount(TextScanner& scanner, Dimension dimension);

// Reads the whole of a text's rest as "nothing more". Error: not_a_quantity.
TextExpected<void> read_end(TextScanner& scanner, Dimension dimension);

// The value in the dimension's inner unit; `unit` stands in for the amount's own. Errors:
// wrong_unit, missing_unit, out_of_range.
TextExpected<double> value_of(const Amount& amount, Dimension dimension, std::string_view unit);
TextExpected<double> value_of(const Amount& amount, Dimension dimension);

// The same for a difference of two quantities: 5 °C are 5 K, and it may be anything but negative.
TextExpected<double> difference_of(const Amount& amount, Dimension dimension);

// out_of_range when a value is none that the dimension may have.
TextExpected<double> in_range(double value, Dimension dimension, TextStretch place);

// `write for example "330 Ω", "4.7 kΩ" or "4k7"`
std::string write_for_example(Dimension dimension);

std::unexpected<TextError> refused(Cause cause, TextStretch place, std::string message,
                                   std::string remedy);

}  // namespace gapwright
