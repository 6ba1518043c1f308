// What the rules of card check write their findings to. Internal to the layer.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "fit/card_check.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright::checking {

class Findings {
  public:
    explicit Findings(const Description& card) : card_(card) {}

    const Description& card() const { return card_; }

    void add(bool nonsense, std::optional<Key> figure, std::string text, std::string remedy = {}) {
        const auto* stated = figure ? card_.find(*figure) : nullptr;
        found_.push_back({.nonsense = nonsense,
                          .figure = figure,
                          .text = std::move(text),
                          .remedy = std::move(remedy),
                          .place = stated ? stated->place : card_.place});
    }

    // A figure's nominal; none where the card has none and none is assumed.
    std::optional<double> figure(Key key) const {
        const auto* found = card_.find(key);
        return found ? std::optional(found->spread.nominal) : std::nullopt;
    }
    // Its figure if it is the card's own, not assumed of its kind.
    const Figure* stated(Key key) const {
        const auto* found = card_.find(key);
        return found && !found->assumed ? found : nullptr;
    }

    // Nonsense first, else in the order of the rules.
    std::vector<CardFinding> sorted() {
        std::ranges::stable_sort(found_, std::ranges::greater(), &CardFinding::nonsense);
        return std::move(found_);
    }

  private:
    const Description& card_;
    std::vector<CardFinding> found_;
};

inline std::string text(double value, Dimension dimension) {
    return engineering_short(value, dimension, 3);
}

// The rules that need no model: figures by themselves and against one another.
void check_stated(Findings& findings);
// What a card leaves out, and so is taken as exact or not rated.
void check_gaps(Findings& findings);

}  // namespace gapwright::checking
