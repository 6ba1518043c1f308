// What tests of stretches share: a link proven from its text, and the greatest stretch for which a
// closed form holds.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>

#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "support/link_text.hpp"

namespace gapwright {

// Stretches are looked for up to this one.
constexpr double widest_stretch = 3;
constexpr double stretch_bar = 0.005;

inline Proof stretched_proof(const std::string& text) {
    const auto link = testing_support::link_from(text);
    if (!link) throw std::runtime_error(to_text(link.error()));
    const auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    ProofOptions options;
    options.samples = 500;
    options.limits_on_the_way = false;
    auto proof = prove(*link, *circuit, options);
    if (!proof) throw std::runtime_error(proof.error().message);
    return std::move(*proof);
}

// The greatest k from 0 to `widest_stretch` for which all holds; `holds` is true up to some k and
// false from there on, and true of 0.
inline double greatest_stretch(const std::function<bool(double k)>& holds) {
    double good = 0;
    double bad = widest_stretch;
    if (holds(bad)) return bad;
    for (int step = 0; step < 60; ++step) {
        const double middle = 0.5 * (good + bad);
        (holds(middle) ? good : bad) = middle;
    }
    return good;
}

inline void expect_stretch(const std::optional<Stretch>& stretch, double by_hand,
                           const std::string& what) {
    ASSERT_TRUE(stretch) << what;
    const bool beyond = by_hand >= widest_stretch;
    EXPECT_EQ(stretch->beyond, beyond) << what << ": told " << stretch->factor;
    EXPECT_NEAR(stretch->factor, by_hand, stretch_bar * by_hand) << what;
}

}  // namespace gapwright
