// What people call parts, and the kinds of part that these are here: "switch" -> "contact".
#pragma once

#include <array>
#include <string>
#include <string_view>

#include "card/part_kind.hpp"

namespace gapwright {

// One kind that a word may mean: as kind_named() knows it, and what of the thing it is ("its
// winding"); the latter may be empty.
struct TradeKind {
    std::string_view kind;
    std::string_view what;
};

struct TradeWord {
    std::string_view words;               // "|" between them; small letters, no spaces or hyphens
    std::array<TradeKind, 2> kinds = {};  // those not used have no name
    std::string_view note = {};           // the remedy where it is no kind at all
};

// What `word` means, capitals, spaces and hyphens not minded; nullptr where it is not known. Kinds
// of ours in another spelling ("Resistor", "logic-output") are told by kind_spelled().
const TradeWord* trade_word(std::string_view word);

// The kind of ours that `word` spells in another way; empty where it does not.
std::string_view kind_spelled(std::string_view word);

// The remedy for a `kind` that is none: what to write for what people call so, else empty.
enum class KindPlace { part, card, drawer, option };  // option: --kind
std::string kind_remedy(std::string_view word, KindPlace place);

// A part of that kind as [parts] declares it: `{ kind = "contact" }`.
std::string_view example_part(Kind kind);

}  // namespace gapwright
