// What is known of one part: its kind and the figures of its keys, from a card, from the link
// file, or from the defaults of the kind.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// The figure of one key.
struct Figure {
    Spread spread;                   // in the key's inner unit
    std::vector<double> conditions;  // of "X at Y, Z": Y, Z
    bool normal = false;             // limits are ±3σ of a truncated normal law; else uniform
    bool assumed = false;            // nobody stated it: the kind's default
    bool one_sided = false;          // one limit is stated, the other is what is common of a type
    Place place;                     // where it was stated

    // Whether somebody stated that specimens differ: an assumed range is nobody's spread.
    bool has_stated_spread() const { return !assumed && spread.varies(); }
};

// What a card's [spread] gives to a figure that is stated without one: limits, or a share of the
// nominal on either side.
struct CardSpread {
    std::optional<Spread> limits;
    double share = 0;
    Place place;
};

struct Description {
    Kind kind = Kind::resistor;
    std::string card;    // the card it came from; empty for none
    std::string name;    // "Four-pin coupler, gain class B"
    std::string source;  // where the card's figures come from
    Place place;
    std::map<Key, Figure> figures;
    std::map<Key, std::string> choices;
    std::map<Key, CardSpread> spreads;
    bool normal = false;                          // [spread] distribution
    bool value_to_choose = false;                 // value = "choose"
    std::shared_ptr<const Description> emitter;   // of a pair
    std::shared_ptr<const Description> receiver;  // of a pair

    const Figure* find(Key key) const;

    // A figure that is known to be there: stated, needed by the kind or assumed for it. That it is
    // missing is a defect of the program (std::logic_error).
    const Figure& at(Key key) const;

    // The nominal of such a figure.
    double nominal(Key key) const { return at(key).spread.nominal; }

    std::string choice(Key key, std::string_view otherwise) const;

    // Of a coupler: whether its package has six pins, the sixth of which is its receiver's base;
    // else it has four, and no base is led out.
    bool has_six_pins() const { return choice(Key::package, "4") == "6"; }
};

class CardShelf;

// What to read a table as.
struct DescriptionContext {
    std::optional<Kind> fixed_kind = {};  // a supply's table is a battery's, without saying so
    bool is_card = false;  // a card file: `kind` or `based_on`; else `kind` or `card`
};

// Reads a part's or card's table. Every problem found is added to `problems`; the result is empty
// when there was one that leaves no usable description.
std::optional<Description> read_description(const TomlTable& table, const Place& place,
                                            const DescriptionContext& context, CardShelf& shelf,
                                            Problems& problems);

// A figure from its TOML value, or none with a problem added. `value` may be text or, where the
// form allows, a plain number.
std::optional<Figure> read_figure(const FigureForm& form, const TomlValue& value,
                                  Problems& problems);

// How a spread leaves the range that its key allows, "must be above zero"; empty when it does not.
std::string range_fault(Range range, const Spread& spread);

// Where a range ends, in the inner unit: infinite where it does not; `nominal` means nothing.
Spread range_ends(Range range);

// A diagnostic about a part of a text value.
Diagnostic at_text(const TextError& error, const TomlValue& value);

}  // namespace gapwright
