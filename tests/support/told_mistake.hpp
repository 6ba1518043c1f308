// One mistake in a link file, and how it must be told: cause, place, remedy.
#pragma once

#include <gtest/gtest.h>

#include <ostream>
#include <string>

#include "support/link_text.hpp"

namespace gapwright::testing_support {

struct Mistake {
    std::string name;
    std::string from;  // what is replaced in a right file
    std::string to;    // by what
    Cause cause;
    std::string under;  // what the caret stands under
    std::string told;   // in the message
};

inline void PrintTo(const Mistake& mistake, std::ostream* out) {
    *out << mistake.name;
}

// The mistake, made in the right file `before`, is the one thing that is told of it.
inline void expect_told(const std::string& before, const Mistake& mistake) {
    const std::string text = with(before, mistake.from, mistake.to);
    ASSERT_NE(text, before) << "the mistake was not made";
    const auto link = link_from(text);
    ASSERT_FALSE(link) << "nothing was told";
    ASSERT_EQ(link.error().size(), 1U) << to_text(link.error());
    const Diagnostic& found = link.error().front();
    const std::string shown = to_text(found);
    EXPECT_EQ(found.cause, mistake.cause) << shown;
    EXPECT_NE(shown.find(mistake.told), std::string::npos) << shown;
    ASSERT_TRUE(found.place.text);
    EXPECT_EQ(
        found.place.text->text().substr(found.place.begin, found.place.end - found.place.begin),
        mistake.under)
        << shown;
}

}  // namespace gapwright::testing_support
