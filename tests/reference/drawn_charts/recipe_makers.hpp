// What styles are made of.
#pragma once

#include <array>

#include "reference/drawn_charts/recipes.hpp"

namespace gapwright::drawn_charts {

inline constexpr std::array linear_kinds{Kind::forward, Kind::collector, Kind::temperature,
                                         Kind::transfer};
inline constexpr std::array decade_kinds{Kind::forward_decades, Kind::resistor,
                                         Kind::transfer_decades, Kind::dark};
inline constexpr std::array family_kinds{Kind::collector,       Kind::forward,  Kind::transfer,
                                         Kind::forward_decades, Kind::resistor, Kind::dark};

template <std::size_t size>
Kind turn(const std::array<Kind, size>& kinds, int number) {
    return kinds[static_cast<std::size_t>(number) % size];
}

Recipe some_chart(Kind kind, int curves, int number, Dice& dice);
Recipe single(int number, Dice& dice);
Recipe family(int number, Dice& dice);
Recipe crossing(int number, Dice& dice);
Recipe with_labels(int number, Dice& dice);
Recipe with_legend(Legend legend, int number, Dice& dice);
Recipe coloured(Recipe recipe);
Recipe scan(Recipe recipe, int number);
Recipe photo(Recipe recipe, int number, Dice& dice);
Recipe rough(Recipe recipe);

// Clean pictures, as programs write them; scans, photos, poor pictures and traps.
std::vector<Style> drawn_styles();
std::vector<Style> taken_styles();

}  // namespace gapwright::drawn_charts
