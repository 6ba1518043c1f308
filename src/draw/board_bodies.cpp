#include "draw/board_bodies.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>
#include "board/wiring.hpp"
#include "draw/picture.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {
namespace {

constexpr double name_size = 11;
constexpr double band_width = 4;

// A frame along a part: `along` from its first pin to its last, `across` to the left of that.
struct Frame {
    Point middle;
    Point along;
    Point across;
    double reach = 0;  // half the distance between first and last pin

    Point at(double far, double aside) const {
        return {middle.x + far * along.x + aside * across.x,
                middle.y + far * along.y + aside * across.y};
    }
    bool upright() const { return std::abs(along.y) > 0.5; }
};

Frame frame_of(const std::vector<Point>& pins) {
    const Point a = pins.front();
    const Point b = pins.back();
    const double length = std::max(1e-9, std::hypot(b.x - a.x, b.y - a.y));
    const Point along{(b.x - a.x) / length, (b.y - a.y) / length};
    return {{(a.x + b.x) / 2, (a.y + b.y) / 2}, along, {-along.y, along.x}, length / 2};
}

Box box_of(const Frame& frame, double along, double across) {
    const double x = frame.upright() ? across : along;
    const double y = frame.upright() ? along : across;
    return {frame.middle.x - x, frame.middle.y - y, frame.middle.x + x, frame.middle.y + y};
}

void name(Picture& picture, const std::string& text, Point at) {
    picture.text({at.x, at.y + 4}, text, "name over", Anchor::middle, name_size);
}

void pins_of(Picture& picture, const std::vector<Point>& pins) {
    for (const Point pin : pins) picture.circle(pin, 2.6, "solid");
}

// Where the bands of a body of that length lie, from the end that is read first; none where they
// and a name as wide as `room` would not all be seen. The tolerance stands apart at the other end,
// and the name between.
std::vector<double> band_places(std::size_t count, double length, double room) {
    constexpr double end = 4;
    const double pitch = count > 4 ? 5 : 6;
    constexpr double clear = 1;
    const double tolerance = length - end - band_width;
    std::vector<double> places;
    for (std::size_t k = 0; k < count; ++k) {
        const bool apart = count > 3 && k + 1 == count;
        places.push_back(apart ? tolerance : end + static_cast<double>(k) * pitch);
    }
    const std::size_t together = count > 3 ? count - 1 : count;
    if (together == 0) return {};
    const double from = places[together - 1] + band_width;
    const double to = count > 3 ? tolerance : length;
    return to - from < room + 2 * clear ? std::vector<double>{} : places;
}

// Bands and name on a body, from the left or from the top: which way round it was put in does not
// matter. Bands are left out where the name would lie on them.
void draw_banded(Picture& picture, const std::string& text, const Box& box, bool upright,
                 const ColourBands& bands) {
    const double length = upright ? box.bottom - box.top : box.right - box.left;
    const double room = upright ? name_size * 0.8 : text_width(text, name_size);
    const auto places = band_places(bands.size(), length, room);
    if (places.empty()) {
        name(picture, text, {(box.left + box.right) / 2, (box.top + box.bottom) / 2});
        return;
    }
    for (std::size_t k = 0; k < bands.size(); ++k) {
        const double a = places[k];
        const double b = a + band_width;
        const Box stripe = upright ? Box{box.left, box.top + a, box.right, box.top + b}
                                   : Box{box.left + a, box.top, box.left + b, box.bottom};
        picture.rectangle(stripe, fmt::format("stripe {}", colour_name(bands[k])));
    }
    const std::size_t together = bands.size() > 3 ? bands.size() - 1 : bands.size();
    const double from = places[together - 1] + band_width;
    const double to = bands.size() > 3 ? places.back() : length;
    const double middle = (from + to) / 2;
    const Point at = upright ? Point{(box.left + box.right) / 2, box.top + middle}
                             : Point{box.left + middle, (box.top + box.bottom) / 2};
    picture.text({at.x, at.y + 4}, text, "name", Anchor::middle, name_size);
}

void draw_axial(Picture& picture, const WiringPart& part, const std::vector<Point>& pins,
                const Frame& frame, const ColourBands& bands) {
    const double along =
        std::min(part.footprint.length * board_pitch / 2, std::max(frame.reach - 4, 8.0));
    const double across = part.footprint.width * board_pitch / 2 - 1;
    picture.line({frame.at(-frame.reach, 0), frame.at(-along, 0)}, "ink");
    picture.line({frame.at(along, 0), frame.at(frame.reach, 0)}, "ink");
    const bool diode = part.pins.back().name == "cathode";
    const Box box = box_of(frame, along, across);
    picture.rectangle(box, "body", diode ? 1 : 4);
    picture.symbol(box, part.name);
    if (diode) {
        const double at = along - 5;
        picture.line({frame.at(at, -across), frame.at(at, across)}, "bound");
        name(picture, part.name, frame.at(-3, 0));
    } else {
        draw_banded(picture, part.name, box, frame.upright(), bands);
    }
    pins_of(picture, pins);
}

void draw_radial(Picture& picture, const WiringPart& part, const std::vector<Point>& pins,
                 const Frame& frame, const Box& within) {
    const double radius = part.footprint.length * board_pitch / 2 - 1;
    const bool led = part.pins.back().name == "cathode";
    const Box box{frame.middle.x - radius, frame.middle.y - radius, frame.middle.x + radius,
                  frame.middle.y + radius};
    picture.symbol(box, part.name);
    picture.circle(frame.middle, radius, "body");
    if (led) {  // the flat of its rim
        const double flat = radius * 0.86;
        const double half = radius * 0.5;
        picture.line({frame.at(flat, -half), frame.at(flat, half)}, "bound");
        name(picture, "+", frame.at(-frame.reach, radius * 0.5));
    } else if (part.pins.front().name == "plus") {
        name(picture, "+", frame.at(-frame.reach, radius * 0.5));
    }
    pins_of(picture, pins);
    // Beside, since pins leave no room within.
    if (!frame.upright()) {
        picture.text({frame.middle.x, box.top - 3}, part.name, "name over", Anchor::middle,
                     name_size);
        return;
    }
    const bool right = box.right + 2 + text_width(part.name, name_size) < within.right;
    picture.text({right ? box.right + 2 : box.left - 2, frame.middle.y + 4}, part.name, "name over",
                 right ? Anchor::start : Anchor::end, name_size);
}

// Seen from above, the face that is towards the reader when pins stand from left to right lies
// across the run of pins.
void draw_in_line(Picture& picture, const WiringPart& part, const std::vector<Point>& pins,
                  const Frame& frame) {
    const double along = part.footprint.length * board_pitch / 2;
    const double across = part.footprint.width * board_pitch / 2 - 1;
    const Box box = box_of(frame, along, across);
    picture.symbol(box, part.name);
    const bool tab = part.footprint.length > 3;
    if (tab) {
        picture.rectangle(box, "body");
        const Point a = frame.at(-along, -across + 4);
        const Point b = frame.at(along, -across + 4);
        picture.line({a, b}, "ink");  // the tab is at the back
    } else {
        const Point a = frame.at(-along, across);
        const Point b = frame.at(along, across);
        const Point c = frame.at(along, 0);
        const Point d = frame.at(-along, 0);
        const double rx = frame.upright() ? across : along;
        const double ry = frame.upright() ? along : across;
        picture.path(fmt::format("M{:.1f},{:.1f}L{:.1f},{:.1f}L{:.1f},{:.1f}A{:.1f},{:.1f} 0 0,0 "
                                 "{:.1f},{:.1f}Z",
                                 a.x, a.y, b.x, b.y, c.x, c.y, rx, ry, d.x, d.y),
                     "body");
    }
    pins_of(picture, pins);
    // Behind the pins, between two of them, or beside them where the body is longer than they are.
    const Point free = tab               ? frame.at(-along * 0.76, 0)
                       : frame.upright() ? frame.at(-board_pitch / 2, across * 0.2)
                                         : frame.at(0, -across * 0.6);
    picture.text({free.x, free.y + 4}, part.name, "name", Anchor::middle, name_size);
    for (std::size_t p = 0; p < pins.size(); ++p) {
        // Outside its face, where no outline runs through them.
        const Point beside{pins[p].x + frame.across.x * (across + 7),
                           pins[p].y + frame.across.y * (across + 7) + 4};
        picture.text(beside, part.pins[p].name.substr(0, 1), "small over", Anchor::middle,
                     name_size);
    }
}

void draw_coupler(Picture& picture, const WiringPart& part, const std::vector<Point>& pins) {
    double left = pins[0].x;
    double right = left;
    double top = pins[0].y;
    double bottom = top;
    for (const Point pin : pins) {
        left = std::min(left, pin.x);
        right = std::max(right, pin.x);
        top = std::min(top, pin.y);
        bottom = std::max(bottom, pin.y);
    }
    const Box body{left + 7, top - 8, right - 7, bottom + 8};
    for (const Point pin : pins) {
        const bool is_left = pin.x < (left + right) / 2;
        picture.line({pin, {is_left ? body.left : body.right, pin.y}}, "ink");
    }
    picture.rectangle(body, "body", 2);
    picture.symbol(body, part.name);
    const double x = (left + right) / 2;
    picture.path(fmt::format("M{:.1f},{:.1f}a5,5 0 0,0 10,0", x - 5, body.top), "ink");
    picture.circle({body.left + 6, pins[0].y}, 2.4, "dot");  // pin 1
    name(picture, part.name, {x, (top + bottom) / 2});
    pins_of(picture, pins);
}

}  // namespace

void draw_body(Picture& picture, const WiringPart& part, const std::vector<Point>& pins,
               const ColourBands& bands, const Box& within) {
    const Frame frame = frame_of(pins);
    switch (part.footprint.body) {
        case Body::axial:
            draw_axial(picture, part, pins, frame, bands);
            break;
        case Body::radial:
            draw_radial(picture, part, pins, frame, within);
            break;
        case Body::in_line:
            draw_in_line(picture, part, pins, frame);
            break;
        case Body::coupler:
            draw_coupler(picture, part, pins);
            break;
        case Body::leads:
            break;
    }
}

void draw_name_from_below(Picture& picture, const WiringPart& part,
                          const std::vector<Point>& pins) {
    Point middle{0, 0};
    for (const Point pin : pins) {
        middle.x += pin.x / static_cast<double>(pins.size());
        middle.y += pin.y / static_cast<double>(pins.size());
    }
    // Off the middle pin of three.
    const bool odd = pins.size() % 2 == 1;
    picture.text({middle.x + (odd ? 7 : 0), middle.y + (odd ? -5 : 4)}, part.name, "small over",
                 odd ? Anchor::start : Anchor::middle, name_size);
}

}  // namespace gapwright
