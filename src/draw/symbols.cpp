#include "draw/symbols.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include "draw/picture.hpp"

#include <fmt/format.h>

namespace gapwright {
namespace {

constexpr double h = symbol_half_height;

// Draws in the symbol's own frame: x to the right, y downwards along the current.
class Pen {
  public:
    Pen(Picture& picture, const SymbolPlace& place) : picture_(picture), place_(place) {}

    Point at(double x, double y) const {
        return {place_.centre.x + x, place_.centre.y + (place_.turned ? -y : y)};
    }
    void line(double x1, double y1, double x2, double y2, std::string_view css = "ink") {
        picture_.line({at(x1, y1), at(x2, y2)}, css);
    }
    void box(double x1, double y1, double x2, double y2) {
        const Point a = at(x1, y1);
        const Point b = at(x2, y2);
        picture_.rectangle({a.x, std::min(a.y, b.y), b.x, std::max(a.y, b.y)}, "body");
    }
    void triangle(Point a, Point b, Point c, std::string_view css) {
        picture_.path(fmt::format("M{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}Z", a.x, a.y, b.x, b.y,
                                  c.x, c.y),
                      css);
    }
    // A filled arrow head at `tip` that comes from `tail`, both in the symbol's frame.
    void head(double tail_x, double tail_y, double tip_x, double tip_y, std::string_view css,
              double size = 6) {
        const Point from = at(tail_x, tail_y);
        const Point tip = at(tip_x, tip_y);
        const double length = std::hypot(tip.x - from.x, tip.y - from.y);
        const double ux = (tip.x - from.x) / length;
        const double uy = (tip.y - from.y) / length;
        const Point base{tip.x - ux * size, tip.y - uy * size};
        const double half = size * 0.42;
        triangle(tip, {base.x - uy * half, base.y + ux * half},
                 {base.x + uy * half, base.y - ux * half}, css);
    }
    // Two slanted arrows of light; they keep their direction when the symbol is turned.
    void rays(double from_x, double from_y, double to_x, double to_y) {
        if (!place_.rays) return;
        for (const double shift : {0.0, 9.0}) {
            const double turn = place_.turned ? -1 : 1;
            line(from_x, turn * (from_y + shift), to_x, turn * (to_y + shift), "ray");
            head(from_x, turn * (from_y + shift), to_x, turn * (to_y + shift), "glow");
        }
    }
    void curve(const std::string& d, std::string_view css) { picture_.path(d, css); }

  private:
    Picture& picture_;
    SymbolPlace place_;
};

void leads(Pen& pen, double body) {
    pen.line(0, -h, 0, -body);
    pen.line(0, body, 0, h);
}

void diode_body(Pen& pen) {
    leads(pen, 8);
    pen.triangle(pen.at(-8, -8), pen.at(8, -8), pen.at(0, 8), "body");
    pen.line(-8, 8, 8, 8);
    pen.line(0, -8, 0, 8);  // the lead goes through, as IEC 60617 has it
}

struct Bipolar {
    bool pnp = false;
    bool lit = false;   // arrows of light fall on it
    bool base = false;  // its base is led out
};
void transistor_body(Pen& pen, const Bipolar& of) {
    pen.line(-8, -11, -8, 11, "rail");
    pen.line(0, -h, 0, -14);
    pen.line(0, -14, -8, -5);
    pen.line(-8, 5, 0, 14);
    pen.line(0, 14, 0, h);
    if (of.base) pen.line(-18, 0, -8, 0);
    if (of.pnp) {
        pen.head(0, -14, -7, -6, "solid", 7);  // into the base, on the emitter's side above
    } else {
        pen.head(-8, 5, -1, 13, "solid", 7);
    }
    // Light comes in above a base's lead.
    if (of.lit) pen.rays(-32, of.base ? -23 : -16, -14, of.base ? -14 : -6);
}

void mosfet_body(Pen& pen, bool p_channel) {
    for (const double y : {-10.0, 0.0, 10.0}) pen.line(-6, y - 3.5, -6, y + 3.5, "rail");
    pen.line(-11, -11, -11, 11);
    pen.line(-18, 0, -11, 0);
    pen.line(0, -h, 0, -10);
    pen.line(0, -10, -6, -10);
    pen.line(0, h, 0, 10);
    pen.line(0, 10, -6, 10);
    pen.line(-6, 0, 0, 0);
    pen.line(0, 0, 0, p_channel ? -10 : 10);
    if (p_channel) {
        pen.head(-6, 0, 1, 0, "solid", 6);
    } else {
        pen.head(1, 0, -5, 0, "solid", 6);
    }
}

}  // namespace

SymbolWidth symbol_width(Symbol symbol) {
    switch (symbol) {
        case Symbol::npn:
        case Symbol::pnp:
        case Symbol::n_mosfet:
        case Symbol::p_mosfet:
            return {18, 4};
        case Symbol::phototransistor:
        case Symbol::light_dependent_resistor:
            return {33, 9};
        case Symbol::led:
            return {9, 28};
        case Symbol::logic_output:
        case Symbol::logic_input:
            return {13, 13};
        case Symbol::coil:
            return {18, 18};
        case Symbol::contact:
            return {13, 4};
        case Symbol::resistor:
        case Symbol::capacitor:
        case Symbol::inductor:
        case Symbol::diode:
        case Symbol::zener:
        case Symbol::load:
        case Symbol::battery:
            break;
    }
    return {10, 10};
}

bool has_control(Symbol symbol) {
    return symbol == Symbol::npn || symbol == Symbol::pnp || symbol == Symbol::n_mosfet ||
           symbol == Symbol::p_mosfet || symbol == Symbol::phototransistor;
}

void draw_symbol(Picture& picture, Symbol symbol, const SymbolPlace& place,
                 const std::string& part) {
    const SymbolWidth width =
        place.rays ? symbol_width(symbol) : SymbolWidth{place.base ? 18.0 : 10.0, 10};
    picture.symbol({place.centre.x - width.left, place.centre.y - h + 2,
                    place.centre.x + width.right, place.centre.y + h - 2},
                   part);
    Pen pen(picture, place);
    switch (symbol) {
        case Symbol::resistor:
            leads(pen, 15);
            pen.box(-6, -15, 6, 15);
            break;
        case Symbol::light_dependent_resistor:
            leads(pen, 15);
            pen.box(-6, -15, 6, 15);
            pen.rays(-32, -16, -11, -6);
            break;
        case Symbol::load:
            leads(pen, 15);
            pen.box(-9, -15, 9, 15);
            pen.line(-9, -15, 9, 15, "thin");
            break;
        case Symbol::coil:
            leads(pen, 9);
            pen.box(-18, -9, 18, 9);
            break;
        case Symbol::inductor:
            leads(pen, 15);
            pen.curve(fmt::format("M{0:.1f} {1:.1f}a5 5 0 0 1 0 10a5 5 0 0 1 0 10a5 5 0 0 1 0 10",
                                  place.centre.x, place.centre.y - 15),
                      "ink");
            break;
        case Symbol::capacitor:
            leads(pen, 3);
            pen.line(-10, -3, 10, -3, "rail");
            pen.line(-10, 3, 10, 3, "rail");
            break;
        case Symbol::battery:  // the long line is the positive pole
            leads(pen, 8);
            for (const double y : {-8.0, 2.0}) {
                pen.line(-10, y, 10, y, "ink");
                pen.line(-5, y + 6, 5, y + 6, "rail");
            }
            break;
        case Symbol::contact:
            leads(pen, 11);
            // Closed, the lever rests on the fixed contact's foot: a straight line would be no
            // contact at all.
            pen.line(0, 11, place.closed ? -6 : -11, place.closed ? -14 : -12);
            if (place.closed) pen.line(-7, -11, 0, -11);
            break;
        case Symbol::diode:
            diode_body(pen);
            break;
        case Symbol::led:
            diode_body(pen);
            pen.rays(10, -2, 26, -12);
            break;
        case Symbol::zener:
            diode_body(pen);
            pen.line(8, 8, 8, 3);
            break;
        case Symbol::npn:
        case Symbol::pnp:
            transistor_body(pen, {.pnp = symbol == Symbol::pnp, .base = true});
            break;
        case Symbol::phototransistor:
            transistor_body(pen, {.lit = true, .base = place.base});
            break;
        case Symbol::n_mosfet:
        case Symbol::p_mosfet:
            mosfet_body(pen, symbol == Symbol::p_mosfet);
            break;
        case Symbol::logic_output:
            leads(pen, 14);
            pen.box(-13, -14, 13, 14);
            pen.triangle(pen.at(-6, -7), pen.at(6, -7), pen.at(0, 7), "ink");
            break;
        case Symbol::logic_input:
            leads(pen, 14);
            pen.box(-13, -14, 13, 14);
            pen.triangle(pen.at(-6, -5), pen.at(6, -5), pen.at(0, 6), "ink");
            pen.line(-6, 8, 6, 8);
            break;
    }
}

}  // namespace gapwright
