// Every card is drawn by what it is.
#include "report/pictures/part_symbol.hpp"

#include <gtest/gtest.h>

#include <string>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "card/shipped_cards.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

TEST(PartSymbol, OfEveryShippedCard) {
    CardShelf shelf({});
    for (const auto& shipped : shipped_cards()) {
        Problems problems;
        const auto card = shelf.find(std::string(shipped.name), {}, problems);
        ASSERT_TRUE(card) << shipped.name;
        const Picture picture = card_picture(*card);
        const bool gap = card->kind == Kind::coupler || card->kind == Kind::pair;
        EXPECT_EQ(picture.symbol_boxes().size(), gap ? 2U : 1U) << shipped.name;
        EXPECT_TRUE(picture.text_boxes().empty()) << shipped.name;
    }
}

TEST(PartSymbol, TellsPolaritiesApart) {
    CardShelf shelf({});
    Problems problems;
    const auto npn = shelf.find("npn-medium", {}, problems);
    const auto pnp = shelf.find("pnp-medium", {}, problems);
    ASSERT_TRUE(npn && pnp);
    EXPECT_EQ(symbol_of(*npn, Side::input), Symbol::npn);
    EXPECT_EQ(symbol_of(*pnp, Side::input), Symbol::pnp);
    EXPECT_NE(card_picture(*npn).svg(false), card_picture(*pnp).svg(false));
}

}  // namespace
}  // namespace gapwright
