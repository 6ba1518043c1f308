#include "draw/board_meter.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "draw/board_frame.hpp"
#include "draw/board_picture.hpp"
#include "draw/meter_lead.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

// On the leg beside its hole, towards the body.
Point on_leg(const BoardFrame& frame, std::size_t part, Point hole) {
    constexpr double beside = 12;
    Point middle{0, 0};
    const auto& holes = frame.plan.holes[part];
    for (const Hole own : holes) {
        middle.x += frame.at(own).x / static_cast<double>(holes.size());
        middle.y += frame.at(own).y / static_cast<double>(holes.size());
    }
    const double far = std::hypot(middle.x - hole.x, middle.y - hole.y);
    if (far < beside) return middle;
    return {hole.x + (middle.x - hole.x) * beside / far,
            hole.y + (middle.y - hole.y) * beside / far};
}

std::optional<MeterLead> probe_at(const BoardFrame& frame, const std::optional<BoardProbe>& held,
                                  bool red) {
    if (!held || !frame.drawn(held->hole)) return std::nullopt;
    const std::string colour = red ? "red" : "black";
    MeterLead probe{.tip = frame.at(held->hole), .reach = {}, .red = red};
    probe.words = colour + " " + hole_name(frame.plan.board, held->hole);
    if (held->lifted) {
        probe.tip = on_leg(frame, *held->lifted, probe.tip);
        probe.words = colour + ", lifted leg";
    }
    return probe;
}

// Ways that a lead may lie, the usual one first.
constexpr Point reaches[] = {{36, 20},  {-36, 20},  {36, -20}, {-36, -20}, {22, 40},  {-22, 40},
                             {22, -40}, {-22, -40}, {56, 14},  {-56, 14},  {56, -14}, {-56, -14}};

double shared_area(const Box& a, const Box& b) {
    const double wide = std::min(a.right, b.right) - std::max(a.left, b.left);
    const double high = std::min(a.bottom, b.bottom) - std::max(a.top, b.top);
    return std::max(0.0, wide) * std::max(0.0, high);
}

// How much of the leads' and bodies' places a run covers, by points along it.
double covered(const MeterLead& probe, const std::vector<Box>& boxes) {
    constexpr int points = 8;
    double count = 0;
    for (int k = 1; k <= points; ++k) {
        const double share = static_cast<double>(k) / points;
        const Point p{probe.tip.x + share * probe.reach.x, probe.tip.y + share * probe.reach.y};
        count += static_cast<double>(std::ranges::count_if(boxes, [&](const Box& box) {
            return p.x > box.left && p.x < box.right && p.y > box.top && p.y < box.bottom;
        }));
    }
    return count;
}

std::vector<Box> wires_of(const BoardFrame& frame) {
    std::vector<Box> boxes;
    for (const PlanWire& wire : frame.plan.wires) {
        const Point a = frame.at(wire.from);
        const Point b = frame.at(wire.to);
        boxes.push_back(
            Box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}
                .grown(3));
    }
    return boxes;
}

// What a lead hides: words first, then bodies and wires.
double hidden_by(const Picture& picture, const std::vector<Box>& wires, const MeterLead& probe) {
    constexpr double of_words = 3;
    constexpr double of_point = 40;
    const Box words = words_box(probe);
    double area = of_point * covered(probe, picture.symbol_boxes());
    for (const Box& box : picture.text_boxes()) area += of_words * shared_area(words, box);
    for (const Box& box : picture.symbol_boxes()) area += shared_area(words, box);
    for (const Box& box : wires) area += shared_area(words, box);
    return area;
}

// What two leads hide of each other.
double hidden_between(const MeterLead& a, const MeterLead& b) {
    constexpr double too_much = 1e4;
    const Box at_a = words_box(a).grown(3);
    const Box at_b = words_box(b).grown(3);
    const std::vector<Box> tips = {{a.tip.x - 6, a.tip.y - 6, a.tip.x + 6, a.tip.y + 6},
                                   {b.tip.x - 6, b.tip.y - 6, b.tip.x + 6, b.tip.y + 6}};
    double sum = shared_area(at_a, at_b) + shared_area(at_a, tips[1]) + shared_area(at_b, tips[0]);
    sum += covered(a, {at_b, tips[1]}) + covered(b, {at_a, tips[0]});
    // The one whose tip lies further left goes no further right.
    const bool crosses = (a.tip.x - b.tip.x) * (end_of(a).x - end_of(b).x) < 0;
    return too_much * sum + (crosses ? too_much : 0);
}

// Lies where least is hidden.
void lay(const Picture& picture, const BoardFrame& frame, std::optional<MeterLead>& red,
         std::optional<MeterLead>& black) {
    const std::vector<Box> wires = wires_of(frame);
    MeterLead first = red ? *red : *black;
    std::optional<MeterLead> second = red ? black : std::nullopt;
    double least = std::numeric_limits<double>::infinity();
    MeterLead best = first;
    std::optional<MeterLead> beside = second;
    for (const Point a : reaches) {
        first.reach = a;
        const double own = hidden_by(picture, wires, first);
        for (const Point b : reaches) {
            double hidden = own;
            if (second) {
                second->reach = b;
                hidden += hidden_by(picture, wires, *second) + hidden_between(first, *second);
            }
            if (hidden >= least) continue;
            least = hidden;
            best = first;
            beside = second;
        }
    }
    (red ? red : black) = best;
    if (beside) black = beside;
}

void draw_holes_of(Picture& picture, const BoardFrame& frame,
                   const std::optional<BoardProbe>& probe, bool red) {
    if (!probe) return;
    if (probe->lifted && frame.drawn(probe->hole)) {
        picture.circle(frame.at(probe->hole), 4.5, "body");
    }
    picture.begin_group(red ? "probe rings red" : "probe rings black");
    for (const Hole hole : probe->clipped_together) {
        if (frame.drawn(hole)) picture.circle(frame.at(hole), 6, "ring");
    }
    picture.end_group();
}

}  // namespace

void draw_meter(Picture& picture, const BoardFrame& frame, const BoardMeter& meter) {
    draw_holes_of(picture, frame, meter.red, true);
    draw_holes_of(picture, frame, meter.black, false);
    auto red = probe_at(frame, meter.red, true);
    auto black = probe_at(frame, meter.black, false);
    if (!red && !black) return;
    lay(picture, frame, red, black);
    for (const auto& probe : {red, black}) {
        if (probe) draw_meter_lead(picture, *probe);
    }
}

void draw_ammeter(Picture& picture, Point edge, Point to, bool red_at_board) {
    constexpr double words_size = 11;
    constexpr double radius = 9.5;
    const double way = to.x < edge.x ? -1 : 1;
    const Point middle{(edge.x + to.x) / 2, edge.y};
    const auto say = [&](const char* words, double from) {
        const double room = ammeter_reach / 2 - radius;
        picture.text({middle.x + from * way * (radius + room / 2), middle.y + 4}, words,
                     "small over", Anchor::middle, words_size);
    };
    picture.begin_group("probe");
    picture.circle(middle, radius, "body");
    picture.text({middle.x, middle.y + 4}, "A", "name", Anchor::middle, 12);
    say(red_at_board ? "red" : "black", -1);
    say(red_at_board ? "black" : "red", 1);
    picture.end_group();
}

}  // namespace gapwright
