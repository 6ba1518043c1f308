// A contact that leaks when open, such as one with a snubber: a resistor across the emitter takes
// what leaks, so that it stays dark.
#include <fmt/format.h>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

bool fits(const Circumstances& c) {
    const auto* leakage = c.need.drive.description.find(Key::leakage);
    return c.need.drive.description.kind == Kind::contact && !c.need.drive.input_type && leakage &&
           leakage->spread.highest > 0 &&
           c.emitter_forward().highest < c.supply(Side::input).lowest;
}

void draw(const Circumstances& c, Sketch& sketch) {
    draw_drive(c, sketch);
    sketch.path(Side::input, fmt::format("supply > S1 > {} > sense", sketch.resistor()));
    sketch.path(Side::input, fmt::format("sense > {} > return", c.emitter_path()));
    sketch.path(Side::input, fmt::format("sense > {} > return", sketch.resistor()),
                "bleeder: takes what the contact leaks");
    draw_indicator(c, sketch);
}

}  // namespace

Arrangement contact_with_bleeder() {
    return {.name = "contact in series, bleeder across the emitter",
            .follows = true,
            .fits = fits,
            .draw = draw};
}

}  // namespace gapwright::arrangements
