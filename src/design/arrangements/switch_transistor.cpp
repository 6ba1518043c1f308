// A transistor between the load and a rail: an npn below it, a pnp above it. Its base is fed
// through the receiver; or, inverted, fed by a resistor and robbed by the receiver. What tells the
// two apart is a row.
#include <fmt/format.h>
#include <string>
#include <string_view>
#include <vector>

#include "card/key.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/load_branch.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

struct Polarity {
    std::vector<std::string> cards;
    // Paths, {0} the transistor, {1} the base's resistor, {2} the bleed's.
    std::string_view fed;      // the base through the receiver
    std::string_view bled;     // what holds it when the receiver is dark
    std::string_view feeding;  // inverted: the base by its resistor
    std::string_view robbing;  // and the receiver that takes its current
    std::string (*load)(const Circumstances&, Sketch&, const std::string&);
};

const Polarity npn = {.cards = {"npn-small", "npn-medium"},
                      .fed = "supply > {1} > U1 > {0}.base",
                      .bled = "{0}.base > {2} > return",
                      .feeding = "supply > {1} > {0}.base",
                      .robbing = "{0}.base > U1 > return",
                      .load = draw_load_below_supply};
const Polarity pnp = {.cards = {"pnp-small", "pnp-medium"},
                      .fed = "{0}.base > {1} > U1 > return",
                      .bled = "supply > {2} > {0}.base",
                      .feeding = "{0}.base > {1} > return",
                      .robbing = "supply > U1 > {0}.base",
                      .load = draw_load_above_return};

std::string card_for(const Circumstances& c, const Polarity& polarity) {
    return c.switch_for_load(polarity.cards, Key::collector_current,
                             Key::collector_emitter_voltage);
}

template <const Polarity& polarity>
bool fits(const Circumstances& c) {
    return load_is_switched(c) && !card_for(c, polarity).empty();
}

template <const Polarity& polarity>
void draw(const Circumstances& c, Sketch& sketch) {
    const std::string base = sketch.resistor();
    const std::string bleed = sketch.resistor();
    const std::string q = sketch.transistor(card_for(c, polarity));
    sketch.sets_speed(bleed);
    const auto path = [&](std::string_view form) {
        sketch.path(Side::output, fmt::format(fmt::runtime(form), q, base, bleed));
    };
    path(polarity.fed);
    path(polarity.bled);
    polarity.load(c, sketch, q);
}

template <const Polarity& polarity>
void draw_inverted(const Circumstances& c, Sketch& sketch) {
    const std::string base = sketch.resistor();
    const std::string q = sketch.transistor(card_for(c, polarity));
    sketch.sets_speed(base);
    sketch.path(Side::output, fmt::format(fmt::runtime(polarity.feeding), q, base));
    sketch.path(Side::output, fmt::format(fmt::runtime(polarity.robbing), q),
                "takes the base current when lit");
    polarity.load(c, sketch, q);
}

}  // namespace

Arrangement npn_low_side() {
    return {
        .name = "npn transistor, low side", .follows = true, .fits = fits<npn>, .draw = draw<npn>};
}

Arrangement npn_low_side_inverted() {
    return {.name = "npn transistor, low side, inverted",
            .follows = false,
            .fits = fits<npn>,
            .draw = draw_inverted<npn>};
}

Arrangement pnp_high_side() {
    return {
        .name = "pnp transistor, high side", .follows = true, .fits = fits<pnp>, .draw = draw<pnp>};
}

Arrangement pnp_high_side_inverted() {
    return {.name = "pnp transistor, high side, inverted",
            .follows = false,
            .fits = fits<pnp>,
            .draw = draw_inverted<pnp>};
}

}  // namespace gapwright::arrangements
