// What cannot be right about a card, or is unlikely: limits that its own model exceeds, a transfer
// ratio that rises for ever, a diode with ideality 7.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "fit/observation.hpp"
#include "source/source_text.hpp"

namespace gapwright {

struct CardFinding {
    bool nonsense = false;      // cannot be; else only unlikely, or a gap in what the card says
    std::optional<Key> figure;  // that it is about; none: the card as a whole
    std::string text;           // one sentence, no full stop
    std::string remedy;         // what to look at; may be empty
    Place place;                // where the figure is stated
};

// The findings, nonsense first. `measured`: the card's own points, if it has any. Bounds of what is
// likely are common practice and own choice.
std::vector<CardFinding> check_card(const Description& card, std::span<const Observation> measured);

// Of these the findings about stated figures alone, without gaps in the card and without points.
// For the description of any part, a pair aside: that one is checked by its halves.
std::vector<CardFinding> check_figures(const Description& description);

// Likewise what these points alone say against the card; at most one finding.
std::vector<CardFinding> check_points(const Description& card,
                                      std::span<const Observation> measured);

}  // namespace gapwright
