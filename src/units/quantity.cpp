#include "units/quantity.hpp"

#include <array>
#include <expected>
#include <span>
#include <string_view>
#include <utility>

#include "units/dimension.hpp"
#include "units/strict_quantity.hpp"
#include "units/typed_quantity.hpp"

namespace gapwright {
namespace {

// How a text that was refused is written, where that can be told; else what is wrong with it.
TextError told(TextError error, std::string_view text, const WantedQuantity& wanted) {
    auto rewritten = rewrite_quantity(text, wanted);
    if (!rewritten) return std::move(rewritten.error());
    if (!rewritten->changes.empty()) error = std::move(rewritten->changes.front());
    error.remedy = write_one_of(std::array{rewritten->text});
    return error;
}

template <class T>
TextExpected<T> or_told(TextExpected<T> read, std::string_view text, const WantedQuantity& wanted) {
    if (read) return read;
    return std::unexpected(told(std::move(read.error()), text, wanted));
}

}  // namespace

TextExpected<double> parse_quantity(std::string_view text, Dimension dimension) {
    return or_told(strict_quantity(text, dimension), text,
                   {.dimension = dimension, .form = WantedQuantity::Form::value});
}

TextExpected<Spread> parse_spread(std::string_view text, Dimension dimension) {
    return or_told(strict_spread(text, dimension), text, {.dimension = dimension});
}

TextExpected<SpreadAt> parse_spread_at(std::string_view text, Dimension dimension,
                                       std::span<const Dimension> conditions) {
    return or_told(strict_spread_at(text, dimension, conditions), text,
                   {.dimension = dimension, .conditions = conditions});
}

}  // namespace gapwright
