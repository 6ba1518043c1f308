// Kinds of part as sentences speak of them.
#pragma once

#include <string>

#include "card/part_kind.hpp"

namespace gapwright {

// "LED", "diode": the names of files are all small letters.
inline std::string spoken_kind(Kind kind) {
    if (kind == Kind::led) return "LED";
    return kind == Kind::mosfet ? "MOSFET" : std::string(kind_rule(kind).name);
}

// "an LED", "a diode", "an inductor".
inline std::string with_article(Kind kind) {
    const std::string name = spoken_kind(kind);
    // (L is spoken "el")
    const bool vowel = kind == Kind::led || std::string("aeio").contains(name.front());
    return (vowel ? "an " : "a ") + name;
}

}  // namespace gapwright
