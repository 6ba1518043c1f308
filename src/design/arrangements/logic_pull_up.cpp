// A resistor holds the logic input high; the receiver, when lit, pulls it low.
#include <fmt/format.h>
#include <string>

#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/load_branch.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

bool fits(const Circumstances& c) {
    return c.need.load.kind == NeedLoad::Kind::logic_input;
}

void draw(const Circumstances& c, Sketch& sketch) {
    const std::string pull_up = sketch.resistor();
    sketch.sets_speed(pull_up);
    sketch.path(Side::output, fmt::format("supply > {} > signal", pull_up));
    sketch.path(Side::output, "signal > U1 > return");
    draw_logic_input(c, sketch);
}

}  // namespace

Arrangement logic_pull_up() {
    return {.name = "pull-up", .follows = false, .fits = fits, .draw = draw};
}

}  // namespace gapwright::arrangements
