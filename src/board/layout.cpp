#include "board/layout.hpp"

#include <algorithm>
#include <cstdlib>
#include <vector>
#include "board/board.hpp"

namespace gapwright::layout {
namespace {

constexpr double pin_reach = 0.35;  // ground about a pin, pitches
constexpr double row_weight = 0.06;
constexpr double column_weight = 0.06;
constexpr double gather_weight = 0.008;
constexpr double span_weight = 0.004;

}  // namespace

Point pin_at(const Spot& spot, std::size_t pin) {
    const int far = spot.span * static_cast<int>(pin);
    switch (spot.turn) {
        case Turn::down:
            return {spot.u, spot.v + far};
        case Turn::up:
            return {spot.u, spot.v - far};
        case Turn::outwards:
            return {spot.u + far, spot.v};
        case Turn::inwards:
            break;
    }
    return {spot.u - far, spot.v};
}

Rect rect_of(const Item& item, const Spot& spot, const Ground& ground) {
    const Point first = pin_at(spot, 0);
    const Point last = pin_at(spot, item.pins.size() - 1);
    if (item.is_lead()) {  // leaves the board on its own row
        return {first.u - pin_reach, ground.edge() + 1.0, first.v - 0.3, first.v + 0.3};
    }
    const bool upright = spot.turn == Turn::down || spot.turn == Turn::up;
    const double u = (first.u + last.u) / 2.0;
    const double v = (first.v + last.v) / 2.0;
    const double span = spot.span * static_cast<double>(item.pins.size() - 1);
    const double along = std::max(span / 2 + pin_reach, item.footprint.length / 2);
    const double across = item.footprint.width / 2;
    if (item.coupler != none) return {-gap_width / 2.0, pin_reach, v - along, v + along};
    if (upright) return {u - across, u + across, v - along, v + along};
    return {u - along, u + along, v - across, v + across};
}

Rect rect_of_run(Point from, Point to) {
    const auto [left, right] = std::minmax(from.u, to.u);
    const auto [top, bottom] = std::minmax(from.v, to.v);
    return {left - 0.3, right + 0.3, top - 0.3, bottom + 0.3};
}

Cost cost_of_placing(const std::vector<Item>& items, const std::vector<Spot>& spots,
                     const Ground& ground, std::vector<Rect>& rects, double limit) {
    Cost cost;
    rects.clear();
    int top = ground.middle;
    int bottom = ground.middle;
    int out = 0;
    for (std::size_t k = 0; k < items.size(); ++k) {
        const Spot& spot = spots[k];
        const Rect rect = rect_of(items[k], spot, ground);
        for (const auto& other : rects) cost.faults += rect.overlaps(other) ? 1 : 0;
        rects.push_back(rect);
        if (Cost::fault_weight * cost.faults > limit) return cost;
        if (items[k].coupler == none && rect.left < -0.5) cost.faults += 1;
        for (std::size_t p = 0; p < items[k].pins.size(); ++p) {
            const Point at = pin_at(spot, p);
            const bool on_rail = ground.has_rails() && at.u > ground.columns - 1;
            if (at.u < 0 || at.v < 0 || at.v >= ground.rows || at.u > ground.edge()) {
                cost.faults += 1;
            } else if (on_rail) {
                const Rail rail = items[k].nodes[p] == none
                                      ? Rail::none
                                      : ground.rails[static_cast<std::size_t>(items[k].nodes[p])];
                const bool there = rail != Rail::none && at.u == ground.rail_column(rail) &&
                                   rail_has_hole(ground.rows, at.v);
                cost.faults += there ? 0 : 1;
            }
            top = std::min(top, at.v);
            bottom = std::max(bottom, at.v);
            if (!on_rail) out = std::max(out, at.u);
        }
        cost.size += span_weight * spot.span +
                     gather_weight * (std::max(spot.u, 0) + std::abs(spot.v - ground.middle));
    }
    if (!items.empty()) cost.size += row_weight * (bottom - top) + column_weight * out;
    return cost;
}

}  // namespace gapwright::layout
