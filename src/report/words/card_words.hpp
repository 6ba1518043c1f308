// Words on cards that text, JSON and pictures share.
#pragma once

#include <string>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// A value of a key, "1.20 V", "92.1 %", "1.6".
std::string key_value(const KeyRule& rule, double value, int digits = 4);

// A figure as people read it: "1.2 V (1.1 … 1.35 V) at 20 mA".
std::string figure_words(const KeyRule& rule, const Figure& figure);

// What somebody could type for a key: "1.2 V at 10 mA"; empty for words and cards.
std::string key_example(const KeyRule& rule);

// A JSON object's value of a temperature is in °C, all else SI.
double json_value(Dimension dimension, double value);

// "3.2 %", a difference as a share.
std::string difference_words(double share);

}  // namespace gapwright
