// One number with its unit as people type them. Internal to the layer.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"
#include "units/typed_number.hpp"
#include "units/unit_words.hpp"

namespace gapwright {

struct TypedAmount {
    TextStretch place = {};
    TypedNumber number = {};
    std::string typed_unit = {};  // as it stands; empty for a number alone
    std::vector<UnitReading> units =
        {};                 // what that may mean; of a number alone, what is filled in
    std::string code = {};  // a letter code of IEC 60062, in place of number and unit
    Dimension dimension = {};
    bool shows_unit = true;  // false: the unit stands with the other limit

    bool alone() const { return code.empty() && typed_unit.empty(); }
    bool unread() const { return !typed_unit.empty() && units.empty(); }
    // The first of what the number may be, without its unit.
    double value() const;
    // As files write it, of the `number`-th and `unit`-th of what it may mean (the last where there
    // are fewer). `as_difference` leaves out the offset of °F.
    std::string text(std::size_t number, std::size_t unit, bool as_difference) const;
};

// A reckoned number as people write it: six significant digits, no zeros behind them.
std::string decimal_text(double value);

// Reads on behind the amount that comes next; none where no number comes. Adds what files would not
// take, the missing unit of a number alone left out.
std::optional<TypedAmount> typed_amount(TextScanner& scanner, Dimension dimension,
                                        std::vector<TextError>& changes);

}  // namespace gapwright
