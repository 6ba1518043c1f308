// A board plan as a plain line drawing, to scale in hole pitches: the board from above, or from
// below as the soldering hand sees it.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "draw/picture.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {

// How a part or wire is drawn: in the whole plan all are plain; in a step's fragment what is put in
// now stands out, and what is there already is faint.
enum class BoardInk : unsigned char { absent, faint, plain, now };

// A lead of a meter on a board.
struct BoardProbe {
    Hole hole = {};                           // where its tip is held
    std::optional<std::size_t> lifted = {};   // part of the wiring: on its leg, out of that hole
    std::vector<Hole> clipped_together = {};  // the tip is at all of these; empty: at one hole
};

struct BoardMeter {
    std::optional<BoardProbe> red = {};  // none: it is held off the board
    std::optional<BoardProbe> black = {};
    // Of a current through what stands elsewhere: the hole of the lead that is taken off, the meter
    // between the two.
    std::optional<Hole> in_lead = {};
    bool red_at_board = true;  // of that: else the black lead
};

struct BoardView {
    std::string title = {};
    std::string description = {};
    bool from_below = false;           // mirrored left to right; bodies are beyond the board
    std::vector<BoardInk> parts = {};  // by part of the wiring; empty: all plain
    std::vector<BoardInk> wires = {};  // by wire of the plan; likewise
    BoardInk cuts = BoardInk::plain;
    // By part of the wiring: a resistor's, drawn where its body has room; empty: none is drawn.
    std::vector<ColourBands> bands = {};
    std::optional<BoardMeter> meter = {};
    std::vector<std::size_t> suspects = {};  // parts of the wiring: framed
    std::vector<std::string> notes = {};     // by part: said beside it; empty: none is
    int first_row = 0;                       // rows that are drawn
    int last_row = 1 << 20;
};

// Every pin of the wiring must have a hole of the plan's board.
Picture board_picture(const Wiring& wiring, const Plan& plan, const BoardView& view);

}  // namespace gapwright
