// Where a person puts seeds on curves, and the hand that does it.
#pragma once

#include <string>

#include "reference/drawn_charts/clicks.hpp"
#include "reference/drawn_charts/photo.hpp"

namespace gapwright::drawn_charts {

constexpr double unsteady = 1;  // px, how far a click is off, standard (own choice)

class Hand {
  public:
    Hand(const Projection& projection, Dice& dice) : projection_(projection), dice_(dice) {}

    std::string click(Place on_page) {
        const Place at = projection_(on_page);
        const auto one = [&](double value) {
            return std::to_string(std::lround(value + dice_.normal(unsteady)));
        };
        const std::string x = one(at[0]);
        return x + "," + one(at[1]);
    }

  private:
    Projection projection_;
    Dice& dice_;
};

// The chart's seeds and those that a person would add.
void put_seeds(Chart& chart, const Page& page, Hand& hand, Dice& dice);

}  // namespace gapwright::drawn_charts
