// The resistances that can be made from what is at hand: single parts, and pairs and triples in
// series or in parallel.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "card/drawer.hpp"
#include "source/diagnostics.hpp"
#include "units/preferred.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// Resistors of one value, as they lie in the drawer or as a preferred series offers them.
struct StockValue {
    Spread value;                   // Ω, with its tolerance
    std::optional<double> power;    // W at full rating; none: not stated
    std::optional<unsigned> count;  // none: as many as wanted
};

enum class Joint : std::uint8_t { single, series, parallel };

// One resistance on offer. Parts of a joint stand in the order of the drawer.
struct Choice {
    Spread value;                          // Ω: both ends of all parts' tolerances together
    std::optional<double> power;           // W that the whole may take before one part has too much
    std::array<std::uint32_t, 3> parts{};  // indices into Stock::values
    std::uint8_t count = 1;                // how many of them are in use, 1 to 3
    Joint joint = Joint::single;

    std::span<const std::uint32_t> used() const { return {parts.data(), count}; }
};

// What is on offer, and how it is called: "drawer.csv", "the E24 series".
struct Stock {
    std::string name;
    std::vector<StockValue> values;
    std::vector<Choice> choices;     // ascending by nominal, then parts, then the strongest
    bool triples = true;             // false where the drawer is too large to try them
    std::vector<std::string> cards;  // of other parts in the drawer, each once
    Problems skipped;                // rows that could not be read
};

// From this many values on, triples are left out.
inline constexpr std::size_t most_values_for_triples = 120;

// The resistors of a drawer. Rows of other kinds, and those with a count of zero, are left out;
// their cards are kept.
Stock stock_of(const Drawer& drawer, std::string name);

// The same of which only choices with at most `parts` parts are on offer.
Stock limited_to(const Stock& stock, std::size_t parts);

// Single values of a preferred series from `lowest` to `highest` Ω, as many as wanted.
Stock series_stock(Series series, double lowest, double highest, double tolerance, double power);

// The stock where a file names no drawer: E24, 10 Ω … 1 MΩ, 5 %, 0.25 W.
Stock standard_stock();

// "330 Ω", "270 Ω + 22 Ω", "1 kΩ ∥ 4.7 kΩ".
std::string choice_text(const Stock& stock, const Choice& choice);

// Whether the drawer holds enough of each value for all of these together.
bool in_stock(const Stock& stock, std::span<const std::uint32_t> choices);

}  // namespace gapwright
