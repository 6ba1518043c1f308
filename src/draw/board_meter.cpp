#include "draw/board_meter.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>

#include "board/board.hpp"
#include "draw/board_frame.hpp"
#include "draw/board_picture.hpp"
#include "draw/picture.hpp"
#include "draw/probe.hpp"

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

struct Tip {
    Point at;
    std::string words;
};

std::optional<Tip> tip_of(const BoardFrame& frame, const std::optional<BoardProbe>& probe,
                          const std::string& colour) {
    if (!probe || !frame.drawn(probe->hole)) return std::nullopt;
    const Point hole = frame.at(probe->hole);
    if (probe->lifted) return Tip{on_leg(frame, *probe->lifted, hole), colour + ", lifted leg"};
    return Tip{hole, colour + " " + hole_name(frame.plan.board, probe->hole)};
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
    const auto red = tip_of(frame, meter.red, "red");
    const auto black = tip_of(frame, meter.black, "black");
    // Each to its own hand, so that they do not cross; one by itself away from the gap.
    if (red && black) {
        const bool red_left = red->at.x <= black->at.x;
        draw_probe(picture, red->at, true, red_left, red->words);
        draw_probe(picture, black->at, false, !red_left, black->words);
    } else if (red || black) {
        const Tip& tip = red ? *red : *black;
        const double middle = (frame.ground.left + frame.ground.right) / 2;
        draw_probe(picture, tip.at, red.has_value(), tip.at.x < middle,
                   fmt::format("{}; {} off the board", tip.words, red ? "black" : "red"));
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
