// The kinds of part that links and cards know, and the keys of each: one table.
//
// To add a key: one row here and its use in link/. To add a kind: see docs/adding-a-part-kind.md.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "card/key.hpp"
#include "units/dimension.hpp"

namespace gapwright {

enum class Kind {
    resistor,
    capacitor,
    inductor,
    contact,
    diode,
    led,
    zener,
    transistor,
    mosfet,
    coil,
    load,
    logic_output,
    logic_input,
    coupler,
    pair,
    // On cards only: what a pair or a supply is made of.
    phototransistor,
    light_dependent_resistor,
    battery,
};

// What the text of a key must be.
enum class Form {
    quantity,     // with or without a spread
    quantity_at,  // "X at Y, Z"
    choice,       // one of the words in `words`
    description,  // the name of a card, or a table in its place
};

// Which values a figure may take, over its whole spread.
enum class Range { any, from_zero, above_zero, share, acute_angle, beam_angle };

// What stands in for a figure that nobody states: a usual value, and between which ends it lies for
// parts of the kind. Both ends count in the worst case; a single value is one that decides nothing
// or that the circuit's drawing says (no angle, no shroud).
struct Usual {
    double nominal = 0;
    double lowest = 0;
    double highest = 0;

    // NOLINTNEXTLINE(google-explicit-constructor): a plain number in the table is a single value
    constexpr Usual(double value) : nominal(value), lowest(value), highest(value) {}
    constexpr Usual(double value, double least, double most)
        : nominal(value), lowest(least), highest(most) {}
};

// How the text of a figure is read.
struct FigureForm {
    std::string_view name;  // as messages name it
    Dimension dimension = Dimension::ratio;
    Range range = Range::any;
    bool at = false;                             // "X at Y, Z"
    std::span<const Dimension> conditions = {};  // of Y, Z
    bool may_be_plain = false;                   // a bare number is taken in the inner unit
    std::optional<Key> key = {};  // of a card: then limits may stand as data sheets print them
};

// One key of a part or card.
struct KeyRule {
    Key key;
    std::string_view group = {};  // the card's table: "", "limits", "model", "emitter" …
    Dimension dimension = Dimension::ratio;
    Range range = Range::from_zero;
    std::optional<Usual> standard = {};  // in the inner unit, where a card says nothing
    bool needed = false;
    Form form = Form::quantity;
    std::vector<Dimension> conditions = {};  // of quantity_at
    std::string_view words = {};             // of choice: "npn|pnp"
    std::string_view alias = {};             // another name for the same key
    bool may_be_plain = false;               // a bare number is taken in the inner unit

    std::string_view name() const { return key_name(key); }
    FigureForm figure_form() const {
        return {name(), dimension, range, form == Form::quantity_at, conditions, may_be_plain, key};
    }
};

// One kind.
struct KindRule {
    Kind kind;
    std::string_view name;  // as files write it, "logic output"
    std::vector<KeyRule> keys;
    std::string_view lead;  // what stands first in a path: "anode", "collector" …
    bool card_only = false;
};

const KindRule& kind_rule(Kind kind);

// All kinds, in the order of the enumeration.
std::span<const KindRule> kind_rules();

// The kind of that name, or none. Besides the plain names, "npn transistor", "pnp transistor",
// "n-channel mosfet" and "p-channel mosfet" are understood; `choice` then holds "npn" …
struct KindName {
    Kind kind;
    std::string_view choice = {};
};
std::optional<KindName> kind_named(std::string_view name);

// Every word for a kind that kind_named() understands.
std::vector<std::string> kind_words(Kind kind);

// The words of a choice, "npn|pnp".
std::vector<std::string> split_words(std::string_view words);

// The rule of a key of the kind; nullptr where the kind has no such key.
const KeyRule* find_key(const KindRule& kind, Key key);

// The rule of the key of that name (or alias), in `group` when that is not empty; nullptr if none.
const KeyRule* find_named_key(const KindRule& kind, std::string_view name,
                              std::string_view group = {});

}  // namespace gapwright
