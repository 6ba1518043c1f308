// What every plan keeps, checked from its holes and from footprints alone.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <string>
#include <utility>
#include <vector>

#include "board/plan.hpp"

namespace gapwright::testing_support {

struct Rectangle {
    double left, right, top, bottom;
};

// What a part covers: along the line of its pins its body, legs included, across it its width.
inline Rectangle covered(const WiringPart& part, const std::vector<Hole>& pins) {
    const auto columns = std::ranges::minmax(pins, {}, &Hole::column);
    const auto rows = std::ranges::minmax(pins, {}, &Hole::row);
    const double x = (columns.min.column + columns.max.column) / 2.0;
    const double y = (rows.min.row + rows.max.row) / 2.0;
    const Footprint& foot = part.footprint;
    if (foot.body == Body::coupler) {  // its rows of pins lie along it, across the gap
        return {x - foot.width / 2, x + foot.width / 2, y - foot.length / 2, y + foot.length / 2};
    }
    const int between = columns.max.column - columns.min.column + rows.max.row - rows.min.row;
    double along = std::max<double>(foot.length, between);
    double across = foot.width;
    if (columns.min.column == columns.max.column) std::swap(along, across);
    return {x - along / 2, x + along / 2, y - across / 2, y + across / 2};
}

inline bool overlap(const Rectangle& a, const Rectangle& b) {
    constexpr double rounding = 1e-9;
    return a.left < b.right - rounding && b.left < a.right - rounding &&
           a.top < b.bottom - rounding && b.top < a.bottom - rounding;
}

inline void expect_couplers_astride(const Plan& plan, std::size_t k) {
    const auto& pins = plan.holes[k];
    const std::size_t half = pins.size() / 2;
    for (std::size_t p = 0; p < half; ++p) {
        const int row = pins[0].row + static_cast<int>(p);
        EXPECT_EQ(pins[p], (Hole{plan.board.gap_left, row})) << p;
        EXPECT_EQ(pins[pins.size() - 1 - p], (Hole{plan.board.gap_right, row})) << p;
    }
}

inline void expect_spans(const WiringPart& part, const std::vector<Hole>& pins) {
    const int across = std::abs(pins[1].column - pins[0].column);
    const int down = std::abs(pins[1].row - pins[0].row);
    switch (part.footprint.body) {
        case Body::axial:
        case Body::radial:
            EXPECT_TRUE(across == 0 || down == 0) << part.name << " lies aslant";
            EXPECT_GE(across + down, part.footprint.least_span) << part.name;
            EXPECT_LE(across + down, part.footprint.most_span) << part.name;
            break;
        case Body::in_line:
            EXPECT_EQ(across + down, 1) << part.name;
            EXPECT_EQ(pins[2].column - pins[1].column, pins[1].column - pins[0].column);
            EXPECT_EQ(pins[2].row - pins[1].row, pins[1].row - pins[0].row);
            break;
        case Body::coupler:
        case Body::leads:
            break;
    }
}

inline void expect_bodies_apart(const Plan& plan, const Wiring& wiring) {
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const WiringPart& part = wiring.parts[k];
        if (part.footprint.body == Body::leads) continue;
        const Rectangle body = covered(part, plan.holes[k]);
        for (std::size_t other = 0; other < wiring.parts.size(); ++other) {
            if (other == k) continue;
            const WiringPart& second = wiring.parts[other];
            if (other > k && second.footprint.body != Body::leads) {
                EXPECT_FALSE(overlap(body, covered(second, plan.holes[other])))
                    << part.name << " and " << second.name;
            }
            for (const Hole pin : plan.holes[other]) {
                const double x = pin.column;
                const double y = pin.row;
                EXPECT_FALSE(overlap(body, {x, x, y, y}))
                    << "a pin of " << second.name << " under " << part.name;
            }
        }
    }
}

// Bare wire touches what it lies on: a pin, the end of another wire, another wire.
inline void expect_wires_clear(const Plan& plan, const Wiring& wiring) {
    const auto turn = [](Hole a, Hole b, Hole c) {
        const int area =
            (b.column - a.column) * (c.row - a.row) - (c.column - a.column) * (b.row - a.row);
        return (area > 0) - (area < 0);
    };
    const auto lies_on = [&](const PlanWire& wire, Hole hole) {
        const auto columns = std::minmax(wire.from.column, wire.to.column);
        const auto rows = std::minmax(wire.from.row, wire.to.row);
        return turn(wire.from, wire.to, hole) == 0 && hole.column >= columns.first &&
               hole.column <= columns.second && hole.row >= rows.first && hole.row <= rows.second;
    };
    for (const PlanWire& wire : plan.wires) {
        if (wire.insulated) continue;
        const std::string what =
            hole_name(plan.board, wire.from) + " to " + hole_name(plan.board, wire.to);
        for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
            for (std::size_t p = 0; p < plan.holes[k].size(); ++p) {
                if (wiring.parts[k].pins[p].node == wire.node) continue;
                EXPECT_FALSE(lies_on(wire, plan.holes[k][p]))
                    << what << " over " << wiring.parts[k].name;
            }
        }
        for (const PlanWire& other : plan.wires) {
            if (other.node == wire.node || other.insulated) continue;
            const bool cross =
                turn(wire.from, wire.to, other.from) * turn(wire.from, wire.to, other.to) < 0 &&
                turn(other.from, other.to, wire.from) * turn(other.from, other.to, wire.to) < 0;
            EXPECT_FALSE(cross || lies_on(wire, other.from) || lies_on(wire, other.to))
                << what << " and " << hole_name(plan.board, other.from);
        }
    }
}

}  // namespace gapwright::testing_support
