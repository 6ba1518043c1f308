// Whether a schematic can be read: no text over a line, no overlapping parts or texts, no wire
// across the gap.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <pugixml.hpp>
#include <string>

#include "draw/picture.hpp"

namespace gapwright::testing_support {

inline Box thin(const Segment& s) {
    return Box{std::min(s.from.x, s.to.x), std::min(s.from.y, s.to.y), std::max(s.from.x, s.to.x),
               std::max(s.from.y, s.to.y)}
        .grown(0.4);
}

// Where two wires of different nodes cross, neither ending there.
inline int crossings(const Picture& picture) {
    int count = 0;
    const auto& wires = picture.wires();
    for (std::size_t a = 0; a < wires.size(); ++a) {
        for (std::size_t b = a + 1; b < wires.size(); ++b) {
            if (wires[a].node == wires[b].node) continue;
            count += thin(wires[a].run).overlaps(thin(wires[b].run)) ? 1 : 0;
        }
    }
    return count;
}

inline void expect_clear(const Picture& picture, const std::string& name) {
    const auto& texts = picture.text_boxes();
    const auto& symbols = picture.symbol_boxes();
    for (std::size_t a = 0; a < texts.size(); ++a) {
        for (std::size_t b = a + 1; b < texts.size(); ++b) {
            EXPECT_FALSE(texts[a].overlaps(texts[b])) << name << ": texts " << a << " " << b;
        }
        for (const auto& symbol : symbols) {
            EXPECT_FALSE(texts[a].overlaps(symbol)) << name << ": text " << a << " on a symbol";
        }
        for (const auto& wire : picture.wires()) {
            EXPECT_FALSE(texts[a].overlaps(thin(wire.run)))
                << name << ": text " << a << " on a wire of " << wire.node;
        }
    }
    for (std::size_t a = 0; a < symbols.size(); ++a) {
        for (std::size_t b = a + 1; b < symbols.size(); ++b) {
            EXPECT_FALSE(symbols[a].overlaps(symbols[b])) << name << ": symbols " << a << " " << b;
        }
    }
    pugi::xml_document document;
    const std::string svg = picture.svg(true);
    EXPECT_TRUE(document.load_buffer(svg.data(), svg.size())) << name;
    // No wire of either side reaches into the strip.
    const auto strip = document.child("svg").find_child_by_attribute("rect", "class", "gap");
    ASSERT_TRUE(strip) << name;
    const Box gap{strip.attribute("x").as_double(), -1e9,
                  strip.attribute("x").as_double() + strip.attribute("width").as_double(), 1e9};
    for (const auto& wire : picture.wires()) {
        EXPECT_FALSE(gap.overlaps(thin(wire.run))) << name << ": a wire crosses the gap";
    }
}

}  // namespace gapwright::testing_support
