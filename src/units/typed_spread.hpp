// What people type for a quantity with its spread and conditions, taken to pieces. Internal to the
// layer.
#pragma once

#include <cstddef>
#include <expected>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"
#include "units/typed_amount.hpp"

namespace gapwright {

struct TypedSpread {
    TextStretch place;  // without spaces at either end
    TypedAmount first;
    std::optional<TypedAmount> lower = {};  // in a bracket behind the first
    std::optional<TypedAmount> upper = {};  // in the bracket, else behind the first
    std::optional<TypedAmount> half = {};   // behind "±"
    std::vector<TypedAmount> conditions = {};
    std::vector<TextError> changes = {};  // what files would not take, in the text's order

    std::vector<const TypedAmount*> amounts() const;
    // As files write it; `number` and `unit` as of TypedAmount::text.
    std::string text(std::size_t number, std::size_t unit) const;
    bool is_one_value() const { return !upper && !half && conditions.empty(); }
    // Requires an upper limit.
    TypedSpread with_limits_exchanged() const;
};

struct SpreadAsked {
    Dimension dimension;
    std::span<const Dimension> conditions = {};
    bool percent = false;  // WantedQuantity::percent
};

// Error: it is not understood; the amount whose unit is none of the dimension, if that is why.
std::expected<TypedSpread, std::optional<TypedAmount>> typed_spread(std::string_view text,
                                                                    const SpreadAsked& asked);

}  // namespace gapwright
