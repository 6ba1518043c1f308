// Quantities just as files write them (quantity.hpp), and nothing said of how else they could have
// been meant: what typed_quantity.hpp holds its rewriting against. Internal to the layer.
#pragma once

#include <span>
#include <string_view>

#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

TextExpected<double> strict_quantity(std::string_view text, Dimension dimension);
TextExpected<Spread> strict_spread(std::string_view text, Dimension dimension);
TextExpected<SpreadAt> strict_spread_at(std::string_view text, Dimension dimension,
                                        std::span<const Dimension> conditions);

}  // namespace gapwright
