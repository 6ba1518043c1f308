#include "design/needs/gap_choice.hpp"

#include <fmt/format.h>

#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>
#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"
#include "design/needs/need_cards.hpp"
#include "link/need.hpp"

namespace gapwright {
namespace {

using Card = std::shared_ptr<const Description>;

// How much of the ambient light is kept from a receiver unless the need says so: own choices, for a
// tube of card and tape. A light-dependent resistor sees all of the room's light, an infrared
// receiver has a filter.
std::string_view usual_shroud(Receiver receiver) {
    switch (receiver) {
        case Receiver::phototransistor:
            return "\"95 %\"";
        case Receiver::light_dependent_resistor:
            break;
    }
    return "\"99.9 %\"";
}
constexpr std::string_view usual_distance = "\"10 mm\"";

std::vector<Card> sound_cards(const std::vector<std::string>& names, CardShelf& shelf) {
    std::vector<Card> cards;
    for (const auto& name : names) {
        if (auto card = sound_card(shelf, name)) cards.push_back(std::move(card));
    }
    return cards;
}

// The led that shines brightest in this measure; none when no card states it.
Card brightest(const std::vector<Card>& cards, Key intensity) {
    Card best;
    for (const auto& card : cards) {
        if (card->kind != Kind::led || !card->find(intensity)) continue;
        if (!best || card->nominal(intensity) > best->nominal(intensity)) best = card;
    }
    return best;
}

GapChoice pair_of(const Need& need, const Card& emitter, const Card& receiver) {
    const std::string distance = need.distance ? need.distance->text : std::string(usual_distance);
    const std::string shroud =
        need.shroud ? need.shroud->text : std::string(usual_shroud(receiver_of(*receiver)));
    std::string chosen;
    if (!need.distance) chosen = "distance";
    if (!need.shroud) chosen += chosen.empty() ? "shroud" : " and shroud";
    return {.name = fmt::format("{} and {}", emitter->card, receiver->card),
            .text = fmt::format("{{ kind = \"pair\", emitter = \"{}\", receiver = \"{}\", "
                                "distance = {}, shroud = {} }}",
                                emitter->card, receiver->card, distance, shroud),
            .note = chosen.empty() ? "" : chosen + ": own choice",
            .emitter = emitter,
            .receiver = receiver};
}

}  // namespace

std::vector<GapChoice> gap_choices(const Need& need, CardShelf& shelf) {
    const auto all = sound_cards(shelf.names(), shelf);
    const auto wanted = need.gaps.empty() ? all : sound_cards(need.gaps, shelf);
    std::vector<GapChoice> choices;
    for (const auto& card : wanted) {
        if (card->kind != Kind::coupler) continue;
        choices.push_back(
            {.name = card->card, .text = card_text(card->card), .emitter = card, .receiver = card});
    }
    for (const Receiver receiver : all_receivers()) {
        const ReceiverRule& rule = receiver_rule(receiver);
        Card emitter = need.gaps.empty() ? nullptr : brightest(wanted, rule.intensity);
        if (!emitter) emitter = brightest(all, rule.intensity);
        if (!emitter) continue;
        for (const auto& card : wanted) {
            if (card->kind == rule.kind) choices.push_back(pair_of(need, emitter, card));
        }
    }
    return choices;
}

}  // namespace gapwright
