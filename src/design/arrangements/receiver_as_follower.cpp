// The receiver switches the load itself, and stands above it.
#include "card/key.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/load_branch.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

// A receiver that is a resistor is the same above the load as below.
bool fits(const Circumstances& c) {
    const auto* limit = c.gap.receiver->find(Key::collector_current);
    return load_is_switched(c) && c.receiver_switches() &&
           (!limit || c.load_current() <= limit->spread.nominal);
}

void draw(const Circumstances& c, Sketch& sketch) {
    draw_load_above_return(c, sketch, "U1");
}

}  // namespace

Arrangement receiver_as_follower() {
    return {.name = "load at the emitter", .follows = true, .fits = fits, .draw = draw};
}

}  // namespace gapwright::arrangements
