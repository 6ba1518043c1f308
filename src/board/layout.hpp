// One side of a board while its plan is looked for: where each part stands, which wires that takes,
// and what is wrong with it. Internal to the layer.
//
// A side has its own grid: u counts columns from the gap outwards, v counts rows, so that both
// sides are one problem.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "board/board.hpp"
#include "board/wiring.hpp"

namespace gapwright::layout {

inline constexpr int none = -1;
inline constexpr double no_limit = 1e300;

// From a part's first pin to its last.
enum class Turn : std::uint8_t { down, up, outwards, inwards };

// Something that is put somewhere as one piece: a part, one lead of a part that stands elsewhere,
// or this side's pins of a coupler.
struct Item {
    std::size_t part = 0;
    std::vector<std::size_t> pins = {};  // of the part, from one end to the other
    std::vector<int> nodes = {};         // by pin: index in Wiring::nodes, or none
    Footprint footprint = {};
    int coupler = none;  // index of the coupler, whose row decides
    bool is_lead() const { return footprint.body == Body::leads; }
};

// Where the item's first pin is, and how it lies.
struct Spot {
    int u = 0;
    int v = 0;
    Turn turn = Turn::down;
    int span = 1;  // pitches from one pin to the next
};

struct Point {
    int u = 0;
    int v = 0;
    friend bool operator==(const Point&, const Point&) = default;
};
Point pin_at(const Spot& spot, std::size_t pin);

// What ground a side has.
struct Ground {
    BoardKind kind = BoardKind::grid;
    int columns = 0;  // holes from the gap outwards, rails not counted
    int rows = 0;
    int middle = 0;                // the row about which parts gather, the same on both sides
    std::vector<Rail> rails = {};  // by node

    bool has_rails() const { return kind == BoardKind::solderless; }
    int edge() const { return has_rails() ? outer_rail : columns - 1; }
    int rail_column(Rail rail) const { return rail == Rail::supply ? outer_rail : inner_rail; }
};

// A rectangle of ground that only one thing may take.
struct Rect {
    double left, right, top, bottom;
    bool overlaps(const Rect& other) const {
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
};
Rect rect_of(const Item& item, const Spot& spot, const Ground& ground);
Rect rect_of_run(Point from, Point to);  // a wire's

struct LocalWire {
    int node = 0;
    Point from;
    Point to;
    bool insulated = false;
};

// What a layout costs. Faults are things that must not be (overlaps, rows claimed twice) and wires
// that found no way; a plan has none.
struct Cost {
    double faults = 0;
    double wires = 0;  // pitches
    double size = 0;   // how far it spreads, as a small sum beside the wires
    int insulated = 0;

    double total() const { return fault_weight * faults + wires + size; }
    static constexpr double fault_weight = 60;
};

// The cost of a side, and its wires where `wires` is given. A total above `limit` may be
// incomplete: most moves of a search end in an overlap, and need no more than that to be refused.
// On strips: rows are joined by links above the board, rails by links to them.
Cost cost_on_strips(const std::vector<Item>& items, const std::vector<Spot>& spots,
                    const Ground& ground, std::vector<LocalWire>* wires, double limit = no_limit);
// On a grid: wires follow the holes underneath, and no two of different nodes meet. An estimate by
// the shortest tree of each node, or wires in full; for the latter several orders of nodes.
Cost estimate_on_grid(const std::vector<Item>& items, const std::vector<Spot>& spots,
                      const Ground& ground, double limit = no_limit);
Cost cost_on_grid(const std::vector<Item>& items, const std::vector<Spot>& spots,
                  const Ground& ground, int orders, std::vector<LocalWire>* wires,
                  double limit = no_limit);

// Faults that do not depend on wires: overlaps, holes that are not there; and the size.
Cost cost_of_placing(const std::vector<Item>& items, const std::vector<Spot>& spots,
                     const Ground& ground, std::vector<Rect>& rects, double limit = no_limit);

}  // namespace gapwright::layout
