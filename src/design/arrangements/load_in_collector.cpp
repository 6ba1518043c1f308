// The receiver switches the load itself, and stands below it.
#include "card/key.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/load_branch.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright::arrangements {
namespace {

bool fits(const Circumstances& c) {
    const auto* limit = c.gap.receiver->find(Key::collector_current);
    return load_is_switched(c) && (!limit || c.load_current() <= limit->spread.nominal);
}

void draw(const Circumstances& c, Sketch& sketch) {
    draw_load_below_supply(c, sketch, "U1");
}

}  // namespace

Arrangement load_in_collector() {
    return {.name = "load in the collector", .follows = true, .fits = fits, .draw = draw};
}

}  // namespace gapwright::arrangements
