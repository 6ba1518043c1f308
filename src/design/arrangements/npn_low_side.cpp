// An npn transistor below the load, its base fed through the receiver; or, inverted, fed by a
// resistor and robbed by the receiver.
#include <fmt/format.h>
#include <string>

#include "card/key.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/load_branch.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

std::string card_for(const Circumstances& c) {
    return c.switch_for_load({"npn-small", "npn-medium"}, Key::collector_current,
                             Key::collector_emitter_voltage);
}

bool fits(const Circumstances& c) {
    return load_is_switched(c) && !card_for(c).empty();
}

void draw(const Circumstances& c, Sketch& sketch) {
    const std::string base = sketch.resistor();
    const std::string bleed = sketch.resistor();
    const std::string q = sketch.transistor(card_for(c));
    sketch.sets_speed(bleed);
    sketch.path(Side::output, fmt::format("supply > {} > U1 > {}.base", base, q));
    sketch.path(Side::output, fmt::format("{}.base > {} > return", q, bleed));
    draw_load_below_supply(c, sketch, q);
}

void draw_inverted(const Circumstances& c, Sketch& sketch) {
    const std::string base = sketch.resistor();
    const std::string q = sketch.transistor(card_for(c));
    sketch.sets_speed(base);
    sketch.path(Side::output, fmt::format("supply > {} > {}.base", base, q));
    sketch.path(Side::output, fmt::format("{}.base > U1 > return", q),
                "takes the base current when lit");
    draw_load_below_supply(c, sketch, q);
}

}  // namespace

Arrangement npn_low_side() {
    return {.name = "npn transistor, low side", .follows = true, .fits = fits, .draw = draw};
}

Arrangement npn_low_side_inverted() {
    return {.name = "npn transistor, low side, inverted",
            .follows = false,
            .fits = fits,
            .draw = draw_inverted};
}

}  // namespace gapwright::arrangements
