// Chosen values, written into the text of a link file; all else stays as its writer left it.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// What one resistor with `value = "choose"` is made of.
struct ValueToFill {
    std::size_t part = 0;           // its index in Link::parts
    std::vector<StockValue> parts;  // one to three
    Joint joint = Joint::single;
    Choice whole;  // all of them together
};

ValueToFill value_to_fill(const Stock& stock, const Choice& choice, std::size_t part);

// The file's text with the values in place of "choose", and the power of each part. A pair or
// triple becomes parts of its own, R1a, R1b …, in series in R1's path or beside it; where the
// file's form does not allow that (a promise about the power of R1, dotted keys), R1 stays one part
// with the figures of the whole. `link` is what was read from `text`.
std::string fill_values(const std::shared_ptr<const SourceText>& text, const Link& link,
                        const std::vector<ValueToFill>& values);

}  // namespace gapwright
