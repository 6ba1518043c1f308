// A transistor carries the emitter's current where the pin cannot.
#include <fmt/format.h>
#include <string>

#include "card/key.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

// Its limit is less than twice what the emitter is meant to be run at, or the supply holds more
// than the pin can give.
bool fits(const Circumstances& c) {
    constexpr double reserve = 2;       // own choice: a pin is not run at its limit
    constexpr double worth_a_part = 1;  // V, likewise
    if (!c.drive_high()) return false;
    const auto* limit = c.need.drive.description.find(Key::source_limit);
    const bool weak = limit && limit->spread.lowest < reserve * c.emitter_current();
    const bool low = c.drive_high()->nominal + worth_a_part < c.supply(Side::input).nominal;
    return (weak || low) && c.emitter_forward().highest < c.supply(Side::input).lowest;
}

void draw(const Circumstances& c, Sketch& sketch) {
    draw_drive(c, sketch);
    const std::string series = sketch.resistor();
    const std::string base = sketch.resistor();
    const std::string bleed = sketch.resistor();
    const std::string q = sketch.transistor("npn-small");
    sketch.path(Side::input,
                fmt::format("supply > {} > {} > {} > return", series, c.emitter_path(), q));
    sketch.path(Side::input, fmt::format("supply > P1 > {} > {}.base", base, q));
    sketch.path(Side::input, fmt::format("{}.base > {} > return", q, bleed));
    draw_indicator(c, sketch);
}

}  // namespace

Arrangement pin_with_transistor() {
    return {.name = "pin through an npn transistor", .follows = true, .fits = fits, .draw = draw};
}

}  // namespace gapwright::arrangements
