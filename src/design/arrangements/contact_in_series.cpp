// The contact carries the emitter's current.
#include <fmt/format.h>

#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

bool fits(const Circumstances& c) {
    return c.need.drive.description.kind == Kind::contact && !c.need.drive.input_type &&
           c.emitter_forward().highest < c.supply(Side::input).lowest;
}

void draw(const Circumstances& c, Sketch& sketch) {
    draw_drive(c, sketch);
    sketch.path(Side::input,
                fmt::format("supply > S1 > {} > {} > return", sketch.resistor(), c.emitter_path()));
    draw_indicator(c, sketch);
}

}  // namespace

Arrangement contact_in_series() {
    return {.name = "contact in series", .follows = true, .fits = fits, .draw = draw};
}

}  // namespace gapwright::arrangements
