#include "draw/board_rulers.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
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

// Wires, legs and leads over the board, as thin boxes.
std::vector<Box> runs_over(const BoardFrame& frame) {
    std::vector<Box> runs;
    const auto run = [&](Point a, Point b) {
        runs.push_back(
            Box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}
                .grown(3));
    };
    for (std::size_t k = 0; k < frame.plan.wires.size(); ++k) {
        const PlanWire& wire = frame.plan.wires[k];
        if (frame.shown_wire(k) != BoardInk::absent) run(frame.at(wire.from), frame.at(wire.to));
    }
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        const WiringPart& part = frame.wiring.parts[k];
        const auto& holes = frame.plan.holes[k];
        if (frame.shown_part(k) == BoardInk::absent || holes.empty()) continue;
        if (stands_on_board(part)) {
            run(frame.at(holes.front()), frame.at(holes.back()));
            continue;
        }
        const double edge = frame.leaves_left(part) ? frame.ground.left : frame.ground.right;
        for (const Hole hole : holes) run(frame.at(hole), {edge, frame.at(hole).y});
    }
    return runs;
}

// In the free columns of a solderless board, next to the holes.
void draw_numbers_beside(Picture& picture, const BoardFrame& frame) {
    const Board& board = frame.plan.board;
    if (board.kind != BoardKind::solderless) return;
    std::vector<Box> taken = runs_over(frame);
    for (const auto* boxes : {&picture.text_boxes(), &picture.symbol_boxes()}) {
        for (const Box& box : *boxes) taken.push_back(box.grown(2));
    }
    for (const bool left : {true, false}) {
        const int last = left ? board.gap_left - (solderless_holes - 1)
                              : board.gap_right + (solderless_holes - 1);
        const bool to_left = left != frame.view.from_below;
        const double x = frame.x(last) + (to_left ? -beside : beside);
        for (int row = frame.first; row <= frame.last; ++row) {
            const std::string number = std::to_string(row + 1);
            const double width = text_width(number, number_size);
            const double y = frame.y(row);
            const Box room{to_left ? x - width : x, y - 5, to_left ? x : x + width, y + 5};
            if (std::ranges::any_of(taken, [&](const Box& box) { return box.overlaps(room); })) {
                continue;
            }
            picture.text({x, y + 4}, number, "small", to_left ? Anchor::end : Anchor::start,
                         number_size);
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
