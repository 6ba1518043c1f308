// What tests of plots share: checks of a picture, and a curve.
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <pugixml.hpp>
#include <string>
#include <vector>

#include "draw/picture.hpp"

namespace gapwright {

inline constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

inline void expect_clear(const Picture& picture) {
    const std::string svg = picture.svg(true);
    pugi::xml_document document;
    EXPECT_TRUE(document.load_buffer(svg.data(), svg.size()));
    for (const char* wrong : {"=\"-nan", "=\"nan", "=\"inf", "Mnan", "Lnan", " nan", "width=\"-"}) {
        EXPECT_EQ(svg.find(wrong), std::string::npos) << wrong;
    }
    const auto& texts = picture.text_boxes();
    for (std::size_t a = 0; a < texts.size(); ++a) {
        for (std::size_t b = a + 1; b < texts.size(); ++b) {
            EXPECT_FALSE(texts[a].overlaps(texts[b])) << a << " " << b << "\n" << svg;
        }
    }
}

// The x of the points of all arrow heads.
inline std::vector<double> arrow_tips(const Picture& picture) {
    const std::string svg = picture.svg(false);
    pugi::xml_document document;
    document.load_buffer(svg.data(), svg.size());
    std::vector<double> tips;
    for (const auto& path : document.child("svg").children("path")) {
        if (std::string(path.attribute("class").value()) != "solid") continue;
        tips.push_back(std::stod(std::string(path.attribute("d").value()).substr(1)));
    }
    return tips;
}

// From 0.2 V towards 5 V, over 100 µs.
inline std::vector<Point> edge(double at, double slowness) {
    std::vector<Point> curve;
    for (int k = 0; k <= 500; ++k) {
        const double t = k * 200e-9;
        curve.push_back({t, t < at ? 0.2 : 5 - 4.8 * std::exp(-(t - at) / slowness)});
    }
    return curve;
}

}  // namespace gapwright
