#include "draw/board_ground.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "draw/board_frame.hpp"
#include "draw/board_picture.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double margin = 30;  // of the board around its holes, px
constexpr double number_size = 11;
constexpr double metal_half = 7;

void draw_edge(Picture& picture, const BoardFrame& frame) {
    const Box& ground = frame.ground;
    if (frame.from_top() && frame.to_bottom()) {
        picture.rectangle(ground, "board", 3);
        return;
    }
    // A stretch of the board, which goes on above and below.
    picture.line({{ground.left, ground.top}, {ground.left, ground.bottom}}, "board");
    picture.line({{ground.right, ground.top}, {ground.right, ground.bottom}}, "board");
    picture.line({{ground.left, ground.top}, {ground.right, ground.top}},
                 frame.from_top() ? "board" : "level");
    picture.line({{ground.left, ground.bottom}, {ground.right, ground.bottom}},
                 frame.to_bottom() ? "board" : "level");
}

void draw_gap(Picture& picture, const BoardFrame& frame) {
    const Board& board = frame.plan.board;
    const Box& ground = frame.ground;
    const double a = frame.x(board.gap_left + 0.5);
    const double b = frame.x(board.gap_right - 0.5);
    const Box gap{std::min(a, b), ground.top, std::max(a, b), ground.bottom};
    picture.rectangle(gap, "gap");
    std::string hatch;
    constexpr double slope = 10;
    for (double down = gap.top; down + slope <= gap.bottom; down += slope) {
        hatch +=
            fmt::format("M{:.1f},{:.1f}L{:.1f},{:.1f}", gap.left, down + slope, gap.right, down);
    }
    picture.path(hatch, "gap");
    const Anchor middle = Anchor::middle;
    const bool below = frame.view.from_below;
    const double top = ground.top - 24;
    picture.text({(ground.left + gap.left) / 2, top}, below ? "output side" : "input side", "small",
                 middle, 11);
    picture.text({(gap.left + gap.right) / 2, top}, "gap", "small", middle, 11);
    picture.text({(ground.right + gap.right) / 2, top}, below ? "input side" : "output side",
                 "small", middle, 11);
}

// Strips and rows of clips.
void draw_rows(Picture& picture, const BoardFrame& frame) {
    const Board& board = frame.plan.board;
    for (int row = frame.first; row <= frame.last; ++row) {
        std::optional<int> start;
        for (int column = 0; column <= board.columns; ++column) {
            const Hole hole{column, row};
            const bool joined = column < board.columns && has_hole(board, hole) &&
                                rail_of(board, hole) == Rail::none &&
                                std::ranges::find(frame.plan.cuts, hole) == frame.plan.cuts.end();
            if (joined && !start) start = column;
            if (joined || !start) continue;
            const double a = frame.x(*start);
            const double b = frame.x(column - 1);
            picture.rectangle({std::min(a, b) - metal_half, frame.y(row) - metal_half,
                               std::max(a, b) + metal_half, frame.y(row) + metal_half},
                              "metal", metal_half);
            start.reset();
        }
    }
}

// A run of a rail: round where its metal ends, straight where it goes on beyond what is shown.
void draw_rail_run(Picture& picture, double x, double top, double bottom, bool ends_above,
                   bool ends_below) {
    const double r = metal_half;
    const double a = ends_above ? top + r : top;
    const double b = ends_below ? bottom - r : bottom;
    const auto end = [&](bool round, double y, double to) {
        return round ? fmt::format("A{0:.1f},{0:.1f} 0 0,1 {1:.1f},{2:.1f}", r, to, y)
                     : fmt::format("L{:.1f},{:.1f}", to, y);
    };
    picture.path(fmt::format("M{:.1f},{:.1f}", x - r, a) + end(ends_above, a, x + r) +
                     fmt::format("L{:.1f},{:.1f}", x + r, b) + end(ends_below, b, x - r) + "Z",
                 "metal");
}

// Two short strokes across: a line that is broken here.
void draw_break(Picture& picture, Point at) {
    constexpr double aside = 5;
    constexpr double rise = 3;
    for (const double down : {-2.5, 2.5}) {
        picture.line({{at.x - aside, at.y + down + rise}, {at.x + aside, at.y + down - rise}},
                     "cut");
    }
}

void draw_rails(Picture& picture, const BoardFrame& frame) {
    const Board& board = frame.plan.board;
    const auto broken = rail_break(board);
    const bool shows_break = broken && *broken > frame.first && *broken < frame.last;
    const double top = frame.from_top() ? frame.y(0) - metal_half : frame.ground.top;
    const double bottom =
        frame.to_bottom() ? frame.y(frame.last) + metal_half : frame.ground.bottom;
    for (int column = 0; column < board.columns; ++column) {
        if (rail_of(board, {column, 0}) == Rail::none) continue;
        const double x = frame.x(column);
        if (!shows_break) {
            draw_rail_run(picture, x, top, bottom, frame.from_top(), frame.to_bottom());
            continue;
        }
        draw_rail_run(picture, x, top, frame.y(*broken - 1) + metal_half, frame.from_top(), true);
        draw_rail_run(picture, x, frame.y(*broken + 1) - metal_half, bottom, true,
                      frame.to_bottom());
        draw_break(picture, {x, frame.y(*broken)});
    }
    if (!shows_break) return;
    // In the free columns beside the rails.
    const double aside = (solderless_holes + inner_rail - 1) / 2.0;
    for (const double column : {board.gap_left - aside, board.gap_right + aside}) {
        picture.text({frame.x(column), frame.y(*broken) + 4}, "break", "small", Anchor::middle,
                     number_size);
    }
}

void draw_holes(Picture& picture, const BoardFrame& frame) {
    std::string d;
    for (int row = frame.first; row <= frame.last; ++row) {
        for (int column = 0; column < frame.plan.board.columns; ++column) {
            if (!has_hole(frame.plan.board, {column, row})) continue;
            d += fmt::format("M{:.1f},{:.1f}m-2,0a2,2 0 1,0 4,0a2,2 0 1,0 -4,0", frame.x(column),
                             frame.y(row));
        }
    }
    picture.path(d, "hole");
}

}  // namespace

BoardFrame board_frame(const Wiring& wiring, const Plan& plan, const BoardView& view) {
    BoardFrame frame{wiring, plan, view, std::max(0, view.first_row),
                     std::min(plan.board.rows - 1, view.last_row)};
    const double a = frame.x(0);
    const double b = frame.x(plan.board.columns - 1);
    frame.ground = {std::min(a, b) - margin, BoardFrame::y(frame.first) - margin,
                    std::max(a, b) + margin, BoardFrame::y(frame.last) + margin};
    return frame;
}

void draw_ground(Picture& picture, const BoardFrame& frame) {
    draw_edge(picture, frame);
    draw_gap(picture, frame);
    if (frame.plan.board.kind != BoardKind::grid) draw_rows(picture, frame);
    draw_rails(picture, frame);
    draw_holes(picture, frame);
}

}  // namespace gapwright
