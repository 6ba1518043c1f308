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
#include "draw/board_bodies.hpp"
#include "draw/board_frame.hpp"
#include "draw/board_ground.hpp"
#include "draw/board_meter.hpp"
#include "draw/board_rulers.hpp"
#include "draw/labels.hpp"
#include "draw/picture.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {
namespace {

constexpr double lead_reach = 40;  // of a lead beyond the board, px
constexpr double numbers = 20;     // that the numbers of rows take at either edge

std::string_view group(BoardInk shown) {
    return shown == BoardInk::faint ? "faint" : shown == BoardInk::now ? "now" : "plain";
}

void draw_wires(Picture& picture, const BoardFrame& frame) {
    for (std::size_t k = 0; k < frame.plan.wires.size(); ++k) {
        const BoardInk shown = frame.shown_wire(k);
        const PlanWire& wire = frame.plan.wires[k];
        if (shown == BoardInk::absent || !frame.drawn(wire)) continue;
        picture.begin_group(group(shown));
        const bool under = frame.plan.board.kind == BoardKind::grid && !wire.insulated;
        const bool hidden = under != frame.view.from_below;
        picture.line({frame.at(wire.from), frame.at(wire.to)}, hidden ? "link under" : "link");
        for (const Hole end : {wire.from, wire.to}) picture.circle(frame.at(end), 3.2, "solid");
        picture.end_group();
    }
}

void draw_cuts(Picture& picture, const BoardFrame& frame) {
    if (frame.view.cuts == BoardInk::absent) return;
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

void draw_bodies(Picture& picture, const BoardFrame& frame) {
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        const WiringPart& part = frame.wiring.parts[k];
        const auto& holes = frame.plan.holes[k];
        if (frame.shown_part(k) == BoardInk::absent || part.footprint.body == Body::leads) continue;
        if (!std::ranges::all_of(holes, [&](Hole h) { return frame.drawn(h); })) continue;
        std::vector<Point> pins;
        for (const Hole hole : holes) pins.push_back(frame.at(hole));
        picture.begin_group(group(frame.shown_part(k)));
        if (frame.view.from_below) {
            draw_name_from_below(picture, part, pins);
            for (const Point pin : pins) picture.circle(pin, 4, "solid");
        } else {
            static const ColourBands none;
            draw_body(picture, part, pins, frame.view.bands.empty() ? none : frame.view.bands[k],
                      frame.ground.grown(-numbers));
        }
        picture.end_group();
        if (frame.suspected(k) && !frame.view.from_below) {
            picture.rectangle(picture.symbol_boxes().back().grown(4), "suspect", 4);
        }
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
void draw_leads(Picture& picture, const BoardFrame& frame) {
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        const WiringPart& part = frame.wiring.parts[k];
        if (part.footprint.body != Body::leads || frame.shown_part(k) == BoardInk::absent) continue;
        picture.begin_group(group(frame.shown_part(k)));
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            const Hole hole = frame.plan.holes[k][p];
            if (!frame.drawn(hole)) continue;
            const bool to_left = frame.leaves_left(part);
            const Point from = frame.at(hole);
            const double way = to_left ? -1 : 1;
            const auto& meter = frame.view.meter;
            const bool opened = meter && meter->in_lead == hole;
            const Point edge{to_left ? frame.ground.left : frame.ground.right, from.y};
            const Point to{edge.x + way * (opened ? ammeter_reach : lead_reach), from.y};
            picture.circle(from, 4.5, "body");
            if (!opened) picture.circle(from, 2, "solid");
            picture.line({{from.x + way * 4.5, from.y}, to}, "lead");
            if (opened) draw_ammeter(picture, edge, to, meter->red_at_board);
            const std::string note = frame.note_on(k);
            picture.text({to.x + way * 5, to.y + 4},
                         lead_label(part, p) + (note.empty() ? "" : ", " + note), "name",
                         to_left ? Anchor::end : Anchor::start, 12);
            if (frame.suspected(k)) {
                picture.rectangle(picture.text_boxes().back().grown(2), "suspect", 4);
            }
        }
        picture.end_group();
    }
}

// Holes of what is put in now, each once.
std::vector<Hole> holes_to_name(const BoardFrame& frame) {
    std::vector<Hole> holes;
    for (std::size_t k = 0; k < frame.plan.wires.size(); ++k) {
        const PlanWire& wire = frame.plan.wires[k];
        if (frame.shown_wire(k) != BoardInk::now || !frame.drawn(wire)) continue;
        holes.insert(holes.end(), {wire.from, wire.to});
    }
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        if (frame.shown_part(k) != BoardInk::now) continue;
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

// Notes on parts and names of holes, as near to each as there is room.
void draw_words(Picture& picture, const BoardFrame& frame) {
    const auto holes = holes_to_name(frame);
    Labels labels(picture, frame.ground);
    for (const Box& box : picture.text_boxes()) labels.keep_clear_of(box);
    for (const Box& box : picture.symbol_boxes()) labels.keep_clear_of(box);
    for (const Hole hole : holes) {
        const Point p = frame.at(hole);
        labels.keep_clear_of(Box{p.x - 4, p.y - 4, p.x + 4, p.y + 4});
    }
    for (std::size_t k = 0; k < frame.wiring.parts.size(); ++k) {
        const WiringPart& part = frame.wiring.parts[k];
        const std::string note = frame.note_on(k);
        if (note.empty() || part.footprint.body == Body::leads) continue;
        const Point a = frame.at(frame.plan.holes[k].front());
        const Point b = frame.at(frame.plan.holes[k].back());
        labels.put({(a.x + b.x) / 2, (a.y + b.y) / 2}, part.name + ": " + note, "over");
    }
    for (const Hole hole : holes) {
        labels.put(frame.at(hole), hole_name(frame.plan.board, hole), "over");
    }
}

}  // namespace

Picture board_picture(const Wiring& wiring, const Plan& plan, const BoardView& view) {
    const BoardFrame frame = board_frame(wiring, plan, view);
    const bool grid = plan.board.kind == BoardKind::grid;
    Picture picture(view.title, view.description);
    draw_ground(picture, frame);
    if (grid) draw_wires(picture, frame);
    draw_cuts(picture, frame);
    draw_bodies(picture, frame);
    if (!grid) draw_wires(picture, frame);
    draw_leads(picture, frame);
    draw_rulers(picture, frame);
    if (view.meter) draw_meter(picture, frame, *view.meter);
    draw_words(picture, frame);
    return picture;
}

}  // namespace gapwright
