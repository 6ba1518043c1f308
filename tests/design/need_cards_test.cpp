// A need's own cards must be able to exist; of what else lies about only such cards are taken.
#include "design/needs/need_cards.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>

#include "design/needs/gap_choice.hpp"
#include "need_support.hpp"
#include "support/card_folder.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::CardFolder;
using testing_support::plain_need;
using testing_support::with;

const std::string impossible_coupler =
    "kind = \"coupler\"\nbased_on = \"four-pin-coupler-c\"\nideality = 0.5\n";

Expected<Need> checked(const std::string& text, const CardFolder& folder) {
    return read_checked_need(std::make_shared<const SourceText>("need.link.toml", text),
                             folder.path().string());
}

TEST(NeedCards, WhatANeedNamesMustBePossible) {
    const CardFolder folder;
    folder.write("odd.card.toml", impossible_coupler);
    EXPECT_TRUE(checked(plain_need(), folder));
    const std::map<std::string, std::string> bad = {
        {with(plain_need(), "\"four-pin-coupler-c\"", "\"odd\""),
         "the gap (card odd) cannot be: ideality of 0.5"},
        {with(plain_need(), "pull_in = \"8.4 V\"", "pull_in = \"8.4 V\", voltage = \"6 V\""),
         "the load cannot be: pull_in is"},
    };
    for (const auto& [text, told] : bad) {
        const auto need = checked(text, folder);
        ASSERT_FALSE(need) << told;
        ASSERT_EQ(need.error().size(), 1U) << to_text(need.error());
        EXPECT_EQ(need.error().front().cause, Cause::impossible_figure);
        EXPECT_NE(to_text(need.error()).find(told), std::string::npos) << to_text(need.error());
    }
}

// Nobody named it: it is as good as none, and the others are looked at.
TEST(NeedCards, OfTheShelfOnlySoundCardsAreOnOffer) {
    const CardFolder folder;
    folder.write("odd.card.toml", impossible_coupler);
    folder.write("even.card.toml", with(impossible_coupler, "0.5", "1.7"));
    const auto need = checked(with(plain_need(), "gaps = [\"four-pin-coupler-c\"]\n", ""), folder);
    ASSERT_TRUE(need) << to_text(need.error());
    CardShelf shelf = shelf_beside(folder.path().string());
    EXPECT_FALSE(sound_card(shelf, "odd"));
    EXPECT_TRUE(sound_card(shelf, "even"));
    const auto choices = gap_choices(*need, shelf);
    const auto offers = [&](const char* name) {
        return std::ranges::any_of(choices, [&](const auto& c) { return c.name == name; });
    };
    EXPECT_TRUE(offers("even"));
    EXPECT_TRUE(offers("four-pin-coupler-c"));
    EXPECT_FALSE(offers("odd"));
}

}  // namespace
}  // namespace gapwright
