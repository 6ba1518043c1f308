#include "draw/board_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"
#include "draw/board_bodies.hpp"
#include "draw/labels.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double margin = 26;      // of the board around its holes, px
constexpr double lead_reach = 40;  // of a lead beyond the board
constexpr double number_size = 9;

// What is drawn, and where.
struct Frame {
    const Wiring& wiring;
    const Plan& plan;
    const BoardView& view;
    int first = 0;  // row
    int last = 0;
    Box ground = {};  // the board, or the stretch of it that is shown

    double x(double column) const {
        return board_pitch * (view.from_below ? plan.board.columns - 1 - column : column);
    }
    static double y(double row) { return board_pitch * row; }
    Point at(Hole hole) const { return {x(hole.column), y(hole.row)}; }
    bool drawn(Hole hole) const { return hole.row >= first && hole.row <= last; }
    bool drawn(const PlanWire& wire) const { return drawn(wire.from) && drawn(wire.to); }
    Shown shown_part(std::size_t k) const {
        return view.parts.empty() ? Shown::plain : view.parts[k];
    }
    Shown shown_wire(std::size_t k) const {
        return view.wires.empty() ? Shown::plain : view.wires[k];
    }
};

Frame frame_of(const Wiring& wiring, const Plan& plan, const BoardView& view) {
    Frame frame{wiring, plan, view, std::max(0, view.first_row),
                std::min(plan.board.rows - 1, view.last_row)};
    const double a = frame.x(0);
    const double b = frame.x(plan.board.columns - 1);
    frame.ground = {std::min(a, b) - margin, Frame::y(frame.first) - margin,
                    std::max(a, b) + margin, Frame::y(frame.last) + margin};
    return frame;
}

std::string_view group(Shown shown) {
    return shown == Shown::faint ? "faint" : shown == Shown::now ? "now" : "plain";
}

void draw_ground(Picture& picture, const Frame& frame) {
    const Board& board = frame.plan.board;
    const Box& ground = frame.ground;
    const bool from_top = frame.first == 0;
    const bool to_bottom = frame.last == board.rows - 1;
    if (from_top && to_bottom) {
        picture.rectangle(ground, "board", 3);
    } else {  // a stretch of the board, which goes on above and below
        picture.line({{ground.left, ground.top}, {ground.left, ground.bottom}}, "board");
        picture.line({{ground.right, ground.top}, {ground.right, ground.bottom}}, "board");
        picture.line({{ground.left, ground.top}, {ground.right, ground.top}},
                     from_top ? "board" : "level");
        picture.line({{ground.left, ground.bottom}, {ground.right, ground.bottom}},
                     to_bottom ? "board" : "level");
    }
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
    const double top = ground.top - 22;
    picture.text({(ground.left + gap.left) / 2, top}, below ? "output side" : "input side", "small",
                 middle, 11);
    picture.text({(gap.left + gap.right) / 2, top}, "gap", "small", middle, 11);
    picture.text({(ground.right + gap.right) / 2, top}, below ? "input side" : "output side",
                 "small", middle, 11);
}

// What the board's own metal joins.
void draw_metal(Picture& picture, const Frame& frame) {
    const Board& board = frame.plan.board;
    if (board.kind == BoardKind::grid) return;
    constexpr double half = 7;
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
            picture.rectangle({std::min(a, b) - half, frame.y(row) - half, std::max(a, b) + half,
                               frame.y(row) + half},
                              "metal", half);
            start.reset();
        }
    }
    for (int column = 0; column < board.columns; ++column) {
        const Rail rail = rail_of(board, {column, 0});
        if (rail == Rail::none) continue;
        picture.rectangle({frame.x(column) - half, frame.y(frame.first) - half,
                           frame.x(column) + half, frame.y(frame.last) + half},
                          "metal", half);
        picture.text({frame.x(column), frame.ground.top - 5}, rail == Rail::supply ? "+" : "−",
                     "name", Anchor::middle, 12);
    }
}

void draw_holes(Picture& picture, const Frame& frame) {
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

// Column letters above, row numbers at both ends.
void draw_numbers(Picture& picture, const Frame& frame) {
    const Board& board = frame.plan.board;
    for (int column = 0; column < board.columns; ++column) {
        const Hole hole{column, board.rows / 2};
        if (rail_of(board, hole) != Rail::none) continue;
        if (board.kind == BoardKind::solderless && !has_hole(board, hole)) continue;
        std::string name = hole_name(board, hole);
        name.resize(name.find_first_of("0123456789"));
        picture.text({frame.x(column), frame.ground.top - 5}, name, "small", Anchor::middle,
                     number_size);
    }
    for (int row = frame.first; row <= frame.last; ++row) {
        const std::string number = std::to_string(row + 1);
        picture.text({frame.ground.left + 3, frame.y(row) + 3}, number, "small over", Anchor::start,
                     number_size);
        picture.text({frame.ground.right - 3, frame.y(row) + 3}, number, "small over", Anchor::end,
                     number_size);
    }
}

void draw_wires(Picture& picture, const Frame& frame) {
    for (std::size_t k = 0; k < frame.plan.wires.size(); ++k) {
        const Shown shown = frame.shown_wire(k);
        const PlanWire& wire = frame.plan.wires[k];
        if (shown == Shown::absent || !frame.drawn(wire)) continue;
        picture.begin_group(group(shown));
        const bool under = frame.plan.board.kind == BoardKind::grid && !wire.insulated;
        const bool hidden = under != frame.view.from_below;
        picture.line({frame.at(wire.from), frame.at(wire.to)}, hidden ? "link under" : "link");
        for (const Hole end : {wire.from, wire.to}) picture.circle(frame.at(end), 3.2, "solid");
        picture.end_group();
    }
}

void draw_cuts(Picture& picture, const Frame& frame) {
    if (frame.view.cuts == Shown::absent) return;
    picture.begin_group(group(frame.view.cuts));
    constexpr double r = 6;
    for (const Hole cut : frame.plan.cuts) {
        if (!frame.drawn(cut)) continue;
        const Point p = frame.at(cut);
        picture.circle(p, r, "cut");
        picture.line({{p.x - r * 0.7, p.y - r * 0.7}, {p.x + r * 0.7, p.y + r * 0.7}}, "cut");
        picture.line({{p.x - r * 0.7, p.y + r * 0.7}, {p.x + r * 0.7, p.y - r * 0.7}}, "cut");
    }
    picture.end_group();
}

void draw_bodies(Picture& picture, const Frame& frame) {
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        const WiringPart& part = frame.wiring.parts[k];
        const auto& holes = frame.plan.holes[k];
        if (frame.shown_part(k) == Shown::absent || part.footprint.body == Body::leads) continue;
        if (!std::ranges::all_of(holes, [&](Hole h) { return frame.drawn(h); })) continue;
        std::vector<Point> pins;
        for (const Hole hole : holes) pins.push_back(frame.at(hole));
        picture.begin_group(group(frame.shown_part(k)));
        if (frame.view.from_below) {
            draw_name_from_below(picture, part, pins);
            for (const Point pin : pins) picture.circle(pin, 4, "solid");
        } else {
            draw_body(picture, part, pins);
        }
        picture.end_group();
    }
}

// "P1", "K1 (2)", "output supply −".
std::string lead_label(const WiringPart& part, std::size_t p) {
    const std::string& pin = part.pins[p].name;
    if (pin == "pin") return part.name;
    if (pin == "1" || pin == "2") return fmt::format("{} ({})", part.name, pin);
    return fmt::format("{} {}", part.name, pin == "-" ? "−" : pin);
}

// A lead leaves the board on its own row, on its side.
void draw_leads(Picture& picture, const Frame& frame) {
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        const WiringPart& part = frame.wiring.parts[k];
        if (part.footprint.body != Body::leads || frame.shown_part(k) == Shown::absent) continue;
        picture.begin_group(group(frame.shown_part(k)));
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            const Hole hole = frame.plan.holes[k][p];
            if (!frame.drawn(hole)) continue;
            const bool to_left = (part.side == Side::input) != frame.view.from_below;
            const Point from = frame.at(hole);
            const Point to{
                to_left ? frame.ground.left - lead_reach : frame.ground.right + lead_reach, from.y};
            picture.circle(from, 4.5, "body");
            picture.circle(from, 2, "solid");
            picture.line({{from.x + (to_left ? -4.5 : 4.5), from.y}, to}, "lead");
            const Anchor anchor = to_left ? Anchor::end : Anchor::start;
            picture.text({to.x + (to_left ? -5 : 5), to.y + 4}, lead_label(part, p), "name", anchor,
                         12);
        }
        picture.end_group();
    }
}

// Holes of what is put in now, each once.
std::vector<Hole> holes_to_name(const Frame& frame) {
    std::vector<Hole> holes;
    for (std::size_t k = 0; k < frame.plan.wires.size(); ++k) {
        const PlanWire& wire = frame.plan.wires[k];
        if (frame.shown_wire(k) != Shown::now || !frame.drawn(wire)) continue;
        holes.insert(holes.end(), {wire.from, wire.to});
    }
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        if (frame.shown_part(k) != Shown::now) continue;
        const auto& own = frame.plan.holes[k];
        const auto drawn = [&](Hole hole) { return frame.drawn(hole); };
        // A body is drawn whole or not at all, of leads each by itself.
        const bool leads = frame.wiring.parts[k].footprint.body == Body::leads;
        if (leads || std::ranges::all_of(own, drawn)) {
            std::ranges::copy_if(own, std::back_inserter(holes), drawn);
        }
    }
    std::ranges::sort(holes);
    const auto doubles = std::ranges::unique(holes);
    holes.erase(doubles.begin(), doubles.end());
    return holes;
}

// As near to each as there is room.
void draw_hole_names(Picture& picture, const Frame& frame) {
    const auto holes = holes_to_name(frame);
    if (holes.empty()) return;
    Labels labels(picture, frame.ground);
    for (const Box& box : picture.text_boxes()) labels.keep_clear_of(box);
    for (const Box& box : picture.symbol_boxes()) labels.keep_clear_of(box);
    for (const Hole hole : holes) {
        const Point p = frame.at(hole);
        labels.keep_clear_of(Box{p.x - 4, p.y - 4, p.x + 4, p.y + 4});
    }
    for (const Hole hole : holes) {
        labels.put(frame.at(hole), hole_name(frame.plan.board, hole), "over");
    }
}

}  // namespace

Picture board_picture(const Wiring& wiring, const Plan& plan, const BoardView& view) {
    const Frame frame = frame_of(wiring, plan, view);
    const bool grid = plan.board.kind == BoardKind::grid;
    Picture picture(view.title, view.description);
    draw_ground(picture, frame);
    draw_metal(picture, frame);
    draw_holes(picture, frame);
    if (grid) draw_wires(picture, frame);
    draw_cuts(picture, frame);
    draw_bodies(picture, frame);
    if (!grid) draw_wires(picture, frame);
    draw_leads(picture, frame);
    draw_numbers(picture, frame);
    draw_hole_names(picture, frame);
    return picture;
}

}  // namespace gapwright
