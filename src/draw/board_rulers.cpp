#include "draw/board_rulers.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"
#include "draw/board_frame.hpp"
#include "draw/board_picture.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double number_size = 11;
constexpr double beside = 12;  // of a number from the hole next to it, px

// Letters, and the rails' marks.
void draw_columns(Picture& picture, const BoardFrame& frame, double baseline) {
    const Board& board = frame.plan.board;
    for (int column = 0; column < board.columns; ++column) {
        const Hole hole{column, board.rows / 2};
        const Point at{frame.x(column), baseline};
        if (const Rail rail = rail_of(board, hole); rail != Rail::none) {
            picture.text(at, rail == Rail::supply ? "+" : "−", "name", Anchor::middle, 12);
            continue;
        }
        if (board.kind == BoardKind::solderless && !has_hole(board, hole)) continue;
        std::string name = hole_name(board, hole);
        name.resize(name.find_first_of("0123456789"));
        picture.text(at, name, "small", Anchor::middle, number_size);
    }
}

void draw_row_numbers(Picture& picture, const BoardFrame& frame, double x, Anchor anchor) {
    for (int row = frame.first; row <= frame.last; ++row) {
        picture.text({x, frame.y(row) + 4}, std::to_string(row + 1), "small over", anchor,
                     number_size);
    }
}

// A run of metal or of a body over the board.
struct Run {
    Hole from;
    Hole to;
    double half = 0;  // of its width, pitches
};

std::vector<Run> runs_over(const BoardFrame& frame) {
    std::vector<Run> runs;
    for (std::size_t k = 0; k < frame.plan.wires.size(); ++k) {
        if (frame.shown_wire(k) == Shown::absent) continue;
        runs.push_back({frame.plan.wires[k].from, frame.plan.wires[k].to});
    }
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        const WiringPart& part = frame.wiring.parts[k];
        const auto& holes = frame.plan.holes[k];
        if (frame.shown_part(k) == Shown::absent || holes.empty()) continue;
        if (part.footprint.body != Body::leads) {
            runs.push_back({holes.front(), holes.back(), part.footprint.width / 2});
            continue;
        }
        const int edge = part.side == Side::input ? 0 : frame.plan.board.columns - 1;
        for (const Hole hole : holes) runs.push_back({hole, {edge, hole.row}});
    }
    return runs;
}

// In the free columns of a solderless board, next to the holes.
void draw_numbers_beside(Picture& picture, const BoardFrame& frame) {
    const Board& board = frame.plan.board;
    if (board.kind != BoardKind::solderless) return;
    const auto runs = runs_over(frame);
    for (const bool left : {true, false}) {
        const int last = left ? board.gap_left - (solderless_holes - 1)
                              : board.gap_right + (solderless_holes - 1);
        const double free = left ? last - 1 : last + 1;  // column
        const bool to_left = left != frame.view.from_below;
        const double x = frame.x(last) + (to_left ? -1 : 1) * beside;
        for (int row = frame.first; row <= frame.last; ++row) {
            const bool covered = std::ranges::any_of(runs, [&](const Run& run) {
                const auto [a, b] = std::minmax(run.from.column, run.to.column);
                const auto [top, bottom] = std::minmax(run.from.row, run.to.row);
                return free + 0.5 > a - run.half && free - 0.5 < b + run.half &&
                       row + 0.5 > top - run.half && row - 0.5 < bottom + run.half;
            });
            if (covered || row == rail_break(board)) continue;
            picture.text({x, frame.y(row) + 4}, std::to_string(row + 1), "small",
                         to_left ? Anchor::end : Anchor::start, number_size);
        }
    }
}

}  // namespace

void draw_rulers(Picture& picture, const BoardFrame& frame) {
    const Box& ground = frame.ground;
    picture.begin_group("ruler left");
    draw_row_numbers(picture, frame, ground.left + 3, Anchor::start);
    picture.end_group();
    picture.begin_group("ruler right");
    draw_row_numbers(picture, frame, ground.right - 3, Anchor::end);
    picture.end_group();
    if (!frame.view.meter) {  // whose words need the room
        picture.begin_group("ruler beside");
        draw_numbers_beside(picture, frame);
        picture.end_group();
    }
    picture.begin_group("ruler head");
    draw_columns(picture, frame, ground.top - 6);
    picture.end_group();
    if (!frame.to_bottom()) return;
    picture.begin_group("ruler foot");
    draw_columns(picture, frame, ground.bottom + 13);
    picture.end_group();
}

}  // namespace gapwright
