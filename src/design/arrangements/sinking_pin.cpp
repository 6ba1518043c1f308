// The pin draws the emitter's current when low.
#include <fmt/format.h>

#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

// A pin that stays far below the supply when high leaves the emitter lit.
bool fits(const Circumstances& c) {
    if (!c.drive_high()) return false;
    const double left = c.supply(Side::input).highest - c.drive_high()->lowest;
    return left < c.emitter_forward().lowest &&
           c.emitter_forward().highest < c.supply(Side::input).lowest;
}

void draw(const Circumstances& c, Sketch& sketch) {
    draw_drive(c, sketch);
    sketch.path(Side::input,
                fmt::format("supply > {} > {} > pin", sketch.resistor(), c.emitter_path()));
    sketch.path(Side::input, "supply > P1 > pin", "draws the emitter's current when low");
    draw_indicator(c, sketch);
}

}  // namespace

Arrangement sinking_pin() {
    return {.name = "pin sinks the emitter", .follows = false, .fits = fits, .draw = draw};
}

}  // namespace gapwright::arrangements
