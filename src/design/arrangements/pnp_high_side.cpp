// A pnp transistor above the load, its base drawn down through the receiver; or, inverted, drawn
// down by a resistor and held up by the receiver.
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
    return c.switch_for_load({"pnp-small", "pnp-medium"}, Key::collector_current,
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
    sketch.path(Side::output, fmt::format("supply > {} > {}.base", bleed, q));
    sketch.path(Side::output, fmt::format("{}.base > {} > U1 > return", q, base));
    draw_load_above_return(c, sketch, q);
}

void draw_inverted(const Circumstances& c, Sketch& sketch) {
    const std::string base = sketch.resistor();
    const std::string q = sketch.transistor(card_for(c));
    sketch.sets_speed(base);
    sketch.path(Side::output, fmt::format("supply > U1 > {}.base", q),
                "takes the base current when lit");
    sketch.path(Side::output, fmt::format("{}.base > {} > return", q, base));
    draw_load_above_return(c, sketch, q);
}

}  // namespace

Arrangement pnp_high_side() {
    return {.name = "pnp transistor, high side", .follows = true, .fits = fits, .draw = draw};
}

Arrangement pnp_high_side_inverted() {
    return {.name = "pnp transistor, high side, inverted",
            .follows = false,
            .fits = fits,
            .draw = draw_inverted};
}

}  // namespace gapwright::arrangements
