// What of a board is drawn, and where its holes lie on the paper. Internal to the layer.
#pragma once

#include <algorithm>
#include <cstddef>
#include <string>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "draw/board_bodies.hpp"
#include "draw/board_picture.hpp"
#include "draw/picture.hpp"

namespace gapwright {

// Refers to wiring, plan and view. Pixels.
struct BoardFrame {
    const Wiring& wiring;
    const Plan& plan;
    const BoardView& view;
    int first = 0;    // row
    int last = 0;     // row
    Box ground = {};  // the board, or the stretch of it that is shown

    double x(double column) const {
        return board_pitch * (view.from_below ? plan.board.columns - 1 - column : column);
    }
    static double y(double row) { return board_pitch * row; }
    Point at(Hole hole) const { return {x(hole.column), y(hole.row)}; }
    bool from_top() const { return first == 0; }
    bool to_bottom() const { return last == plan.board.rows - 1; }
    bool drawn(Hole hole) const { return hole.row >= first && hole.row <= last; }
    bool drawn(const PlanWire& wire) const { return drawn(wire.from) && drawn(wire.to); }
    BoardInk shown_part(std::size_t k) const {
        return view.parts.empty() ? BoardInk::plain : view.parts[k];
    }
    BoardInk shown_wire(std::size_t k) const {
        return view.wires.empty() ? BoardInk::plain : view.wires[k];
    }
    bool suspected(std::size_t k) const {
        return std::ranges::find(view.suspects, k) != view.suspects.end();
    }
    std::string note_on(std::size_t k) const { return view.notes.empty() ? "" : view.notes[k]; }
    // Whether a lead of a part leaves towards the left of the paper.
    bool leaves_left(const WiringPart& part) const {
        return (part.side == Side::input) != view.from_below;
    }
};

BoardFrame board_frame(const Wiring& wiring, const Plan& plan, const BoardView& view);

}  // namespace gapwright
