// Figures of the shipped cards misread by a power of ten: how many of them card check notices.
#include <gtest/gtest.h>

#include <cstddef>
#include <iostream>
#include <map>
#include <string>

#include "card/card_reading.hpp"
#include "card/complete.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/shipped_cards.hpp"
#include "fit/card_check.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

// Read as ten times or a tenth of what is printed.
Description misread(const Description& card, Key key, double factor) {
    Description wrong = card;
    Spread& spread = wrong.figures.at(key).spread;
    spread = {spread.nominal * factor, spread.lowest * factor, spread.highest * factor};
    return wrong;
}

bool is_noticed(const Description& wrong, Key key) {
    const auto* rule = find_key(kind_rule(wrong.kind), key);
    if (!range_fault(rule->range, wrong.at(key).spread).empty()) return true;  // its reader refuses
    Description read = wrong;
    Problems problems;
    complete(read, read.place, problems);
    return !problems.empty() || !check_figures(wrong).empty();
}

struct Counted {
    std::size_t tried = 0;
    std::size_t noticed = 0;
    std::string missed;
};

TEST(MisreadCards, AreNoticedInFourOfFiveCases) {
    std::map<std::string, Counted> by_kind;
    Counted all;
    for (const auto& shipped : shipped_cards()) {
        const auto read = read_card(std::string(shipped.name));
        ASSERT_TRUE(read) << shipped.name;
        for (const auto& [key, figure] : read->card.figures) {
            // A temperature's degrees are no matter of a prefix; nothing is ten times nothing.
            const auto* rule = find_key(kind_rule(read->card.kind), key);
            if (figure.assumed || rule->dimension == Dimension::temperature) continue;
            if (figure.spread.nominal == 0) continue;
            for (const double factor : {10.0, 0.1}) {
                Counted& counted = by_kind[std::string(kind_rule(read->card.kind).name)];
                ++counted.tried;
                ++all.tried;
                if (is_noticed(misread(read->card, key, factor), key)) {
                    ++counted.noticed;
                    ++all.noticed;
                } else {
                    counted.missed += std::string(" ") + std::string(shipped.name) + "." +
                                      std::string(key_name(key)) + (factor > 1 ? "×10" : "/10");
                }
            }
        }
    }
    for (const auto& [kind, counted] : by_kind) {
        std::cout << kind << ": " << counted.noticed << " of " << counted.tried << ";"
                  << counted.missed << '\n';
    }
    std::cout << "all: " << all.noticed << " of " << all.tried << '\n';
    EXPECT_GE(static_cast<double>(all.noticed), 0.8 * static_cast<double>(all.tried));
    for (const auto& [kind, counted] : by_kind) {
        EXPECT_GE(static_cast<double>(counted.noticed), 0.7 * static_cast<double>(counted.tried))
            << kind;
    }
}

}  // namespace
}  // namespace gapwright
