// An n-channel MOSFET below the load, its gate lifted through the receiver; or, inverted, lifted by
// a resistor and held down by the receiver.
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

const std::string card_name = "n-mosfet-logic";

bool fits(const Circumstances& c) {
    return load_is_switched(c) &&
           !c.switch_for_load({card_name}, Key::drain_current, Key::drain_source_voltage).empty();
}

// The gate bears less than the whole supply.
bool gate_needs_divider(const Circumstances& c) {
    const auto mosfet = c.card(card_name);
    const auto* limit = mosfet ? mosfet->find(Key::gate_source_voltage) : nullptr;
    return limit && c.supply(Side::output).highest >= limit->spread.nominal;
}

void draw(const Circumstances& c, Sketch& sketch) {
    const std::string lift = sketch.resistor();
    const std::string bleed = sketch.resistor();
    sketch.sets_speed(bleed);
    sketch.part("M1", card_text(card_name));
    sketch.path(Side::output, fmt::format("supply > {} > U1 > M1.gate", lift));
    sketch.path(Side::output, fmt::format("M1.gate > {} > return", bleed),
                gate_needs_divider(c) ? "divides: the gate bears less than the supply" : "");
    draw_load_below_supply(c, sketch, "M1");
}

void draw_inverted(const Circumstances& c, Sketch& sketch) {
    const std::string lift = sketch.resistor();
    sketch.sets_speed(lift);
    sketch.path(Side::output, fmt::format("supply > {} > M1.gate", lift));
    sketch.path(Side::output, "M1.gate > U1 > return", "takes the gate's voltage when lit");
    if (gate_needs_divider(c)) {
        sketch.path(Side::output, fmt::format("M1.gate > {} > return", sketch.resistor()),
                    "divides: the gate bears less than the supply");
    }
    sketch.part("M1", card_text(card_name));
    draw_load_below_supply(c, sketch, "M1");
}

}  // namespace

Arrangement mosfet_low_side() {
    return {.name = "n-channel MOSFET, low side", .follows = true, .fits = fits, .draw = draw};
}

Arrangement mosfet_low_side_inverted() {
    return {.name = "n-channel MOSFET, low side, inverted",
            .follows = false,
            .fits = fits,
            .draw = draw_inverted};
}

}  // namespace gapwright::arrangements
