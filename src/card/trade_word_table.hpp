// The table of trade_words.hpp. Internal to the layer.
#pragma once

#include <span>

#include "card/trade_words.hpp"

namespace gapwright {

std::span<const TradeWord> trade_word_table();

}  // namespace gapwright
