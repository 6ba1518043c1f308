#include "draw/meter_leads.hpp"

#include <cmath>
#include <utility>
#include <vector>

#include "draw/meter_lead.hpp"
#include "draw/picture.hpp"
#include "draw/schematic.hpp"
#include "draw/schematic_side.hpp"

namespace gapwright {
namespace {

constexpr double name_size = 13;
constexpr double note_size = 12;

// An ammeter in a lead that is opened.
void draw_ammeter(Picture& picture, Point at) {
    picture.begin_group("probe");
    picture.circle(at, 12, "body");
    picture.text({at.x, at.y + 5}, "A", "name", Anchor::middle, name_size);
    picture.text({at.x - 16, at.y - 3}, "red", "small over", Anchor::end, note_size);
    picture.text({at.x - 16, at.y + 14}, "black", "small over", Anchor::end, note_size);
    picture.end_group();
}

// Every node of a side, clipped together.
void draw_rings(Picture& picture, const DrawnSide& side, bool red) {
    picture.begin_group(red ? "probe rings red" : "probe rings black");
    for (const Point& at : side.every_node()) picture.circle(at, 6, "ring");
    picture.end_group();
}

// The two of all that could be taken that lie nearest to each other: both leads in one look.
std::pair<Point, Point> nearest(const std::vector<Point>& red, const std::vector<Point>& black) {
    std::pair<Point, Point> best{red.front(), black.front()};
    const auto apart = [](Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); };
    for (const Point& r : red) {
        for (const Point& b : black) {
            if (apart(r, b) < apart(best.first, best.second)) best = {r, b};
        }
    }
    return best;
}

}  // namespace

void draw_meter(Picture& picture, const SchematicMeter& meter, const DrawnSide& input,
                const DrawnSide& output) {
    const auto side = [&](bool on_output) -> const DrawnSide& {
        return on_output ? output : input;
    };
    if (meter.in_lead) {
        if (const auto at = side(meter.on_output).in_lead(meter.part)) draw_ammeter(picture, *at);
        return;
    }
    if (!meter.red || !meter.black) return;
    const auto red = side(meter.red->on_output).spots(*meter.red);
    const auto black = side(meter.black->on_output).spots(*meter.black);
    if (red.empty() || black.empty()) return;
    const auto [first, second] = nearest(red, black);
    for (const auto& [lead, is_red] :
         {std::pair(&*meter.red, true), std::pair(&*meter.black, false)}) {
        if (lead->all_nodes) draw_rings(picture, side(lead->on_output), is_red);
    }
    draw_meter_lead(picture, {first, {-36, 20}, true, "red"});
    draw_meter_lead(picture, {second, {36, 20}, false, "black"});
}

}  // namespace gapwright
