// cairo with this check's places, in which a pixel's middle is whole.
#pragma once

#include <cairo.h>

#include <string>

#include "reference/drawn_charts/painter.hpp"

namespace gapwright::drawn_charts {

struct Colour {
    double red = 0;
    double green = 0;
    double blue = 0;
};

class Pen {
  public:
    Pen(int width, int height, const Look& look);
    ~Pen();
    Pen(const Pen&) = delete;
    Pen& operator=(const Pen&) = delete;

    void colour(Colour colour) { cairo_set_source_rgb(to_, colour.red, colour.green, colour.blue); }
    void line(Place from, Place to, double width);
    void stroke(const std::vector<Place>& places, double width, int dash);
    void marker(Place at, double reach, bool round);
    void box(const Box& box, bool framed);
    // `across`: 0 begins there, 0.5 is centred, 1 ends there; the text's middle is at its height.
    Box text(Place at, double across, const std::string& text, double size, bool upright = false);
    double width(const std::string& text, double size);
    Picture picture() const;

  private:
    void dashes(double width, int dash);

    cairo_surface_t* surface_;
    cairo_t* to_;
};

}  // namespace gapwright::drawn_charts
