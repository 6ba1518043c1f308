// The pin gives the emitter's current when high.
#include <fmt/format.h>

#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

bool fits(const Circumstances& c) {
    return c.drive_high() && c.emitter_forward().highest < c.drive_high()->lowest;
}

void draw(const Circumstances& c, Sketch& sketch) {
    draw_drive(c, sketch);
    sketch.path(Side::input,
                fmt::format("supply > P1 > {} > {} > return", sketch.resistor(), c.emitter_path()));
    draw_indicator(c, sketch);
}

}  // namespace

Arrangement sourcing_pin() {
    return {.name = "pin sources the emitter", .follows = true, .fits = fits, .draw = draw};
}

}  // namespace gapwright::arrangements
