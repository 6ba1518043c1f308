// A second npn transistor in front of the one that switches the load: gain for a receiver that
// gives little. Costs about 0.7 V of the load's supply.
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

// The two transistors; `front` has its bleed resistor already, or needs none.
void draw_transistors(const Circumstances& c, Sketch& sketch, const std::string& front) {
    const std::string bleed = sketch.resistor();
    const std::string main = sketch.transistor(card_for(c));
    sketch.sets_speed(bleed);
    sketch.path(Side::output, fmt::format("{}.base > {} > return", main, bleed));
    const std::string node = draw_load_below_supply(c, sketch, main);
    sketch.path(Side::output, fmt::format("{} > {} > {}.base", node, front, main));
}

void draw(const Circumstances& c, Sketch& sketch) {
    const std::string base = sketch.resistor();
    const std::string bleed = sketch.resistor();
    const std::string front = sketch.transistor("npn-small");
    sketch.sets_speed(bleed);
    sketch.path(Side::output, fmt::format("supply > {} > U1 > {}.base", base, front));
    sketch.path(Side::output, fmt::format("{}.base > {} > return", front, bleed));
    draw_transistors(c, sketch, front);
}

void draw_inverted(const Circumstances& c, Sketch& sketch) {
    const std::string base = sketch.resistor();
    const std::string front = sketch.transistor("npn-small");
    sketch.sets_speed(base);
    sketch.path(Side::output, fmt::format("supply > {} > {}.base", base, front));
    sketch.path(Side::output, fmt::format("{}.base > U1 > return", front),
                "takes the base current when lit");
    draw_transistors(c, sketch, front);
}

}  // namespace

Arrangement darlington() {
    return {.name = "two npn transistors, darlington, low side",
            .follows = true,
            .fits = fits,
            .draw = draw};
}

Arrangement darlington_inverted() {
    return {.name = "two npn transistors, darlington, low side, inverted",
            .follows = false,
            .fits = fits,
            .draw = draw_inverted};
}

}  // namespace gapwright::arrangements
