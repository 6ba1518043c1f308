// A resistor holds the logic input low; the receiver, when lit, pulls it high.
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
    const std::string pull_down = sketch.resistor();
    sketch.sets_speed(pull_down);
    sketch.path(Side::output, "supply > U1 > signal");
    sketch.path(Side::output, fmt::format("signal > {} > return", pull_down));
    draw_logic_input(c, sketch);
}

}  // namespace

Arrangement logic_pull_down() {
    return {.name = "pull-down", .follows = true, .fits = fits, .draw = draw};
}

}  // namespace gapwright::arrangements
