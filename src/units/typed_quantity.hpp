// What people type for a quantity, into what files write for it: "470" -> "470 Ω", "12v" -> "12 V",
// "7 - 9.6 V" -> "7 .. 9.6 V". The one place that knows how else a quantity is written: pages write
// its text into files, the readers of files tell it as the remedy.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// What is asked for where something was typed.
struct WantedQuantity {
    enum class Form {
        value,   // one, as parse_quantity reads it
        spread,  // with or without a spread: parse_spread, or parse_spread_at with `conditions`
    };
    std::optional<Dimension> dimension = {};  // none: nothing but the text's own unit tells
    Form form = Form::spread;
    std::span<const Dimension> conditions = {};  // of "X at Y, Z"
    bool percent = false;  // of a ratio that people state in percent: "5" is 5 %, never 500 %
};

struct RewrittenQuantity {
    std::string text;  // as files write it, one space before units and around marks
    // What files would not take of the typed text, in its order; cause, place, message. Empty where
    // they take it as it stands.
    std::vector<TextError> changes = {};
};

// Understood besides all that files take: a number alone where people mean one unit by it (V, Ω,
// °C, Hz, Bd, lx, °, eV; W below 5 and from fractions; zero of anything); units in words and in
// wrong capitals ("volts", "Ohm", "hz", "baud", "uF"), prefixes alone ("100n", "20m"), a letter for
// the point ("3V3", "4n7"); a decimal comma, digits in groups of three, fractions ("1/4 W"); "-",
// "–", "…", "~" or "to" between limits; a tolerance without its mark ("470 5%"); "@" for "at".
//
// Errors: what can be read in more than one way ("1,500 V", "20" for a current, "5m" for a time)
// and units that are converted ("10 kHz" for a rate, "77 °F"), with every reading written out in
// the remedy; else those of parse_spread.
TextExpected<RewrittenQuantity> rewrite_quantity(std::string_view typed,
                                                 const WantedQuantity& wanted);

// `write "20 mA" or "20 A"`.
std::string write_one_of(std::span<const std::string> texts);

}  // namespace gapwright
