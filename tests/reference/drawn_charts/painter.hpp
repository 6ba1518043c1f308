// Draws a chart as data sheets print them, and keeps where everything is.
#pragma once

#include <string>
#include <vector>

#include "reference/drawn_charts/picture.hpp"
#include "reference/drawn_charts/truth_curves.hpp"

namespace gapwright::drawn_charts {

enum class Grid { none, fine, heavy, dense };  // dense: five lines to a label, all black
enum class Legend { none, beside, over_curves, in_corner };
enum class Labels { none, near_curve, breaking_it, at_its_end, with_leader };
enum class Ink { black, one_colour, colours };

struct Look {
    Grid grid = Grid::fine;
    Legend legend = Legend::none;
    Labels labels = Labels::none;
    Ink ink = Ink::black;
    bool bare_legend = false;  // without a box, the grid runs through
    bool dashed = false;
    bool markers = false;      // dots and squares along the curve
    bool tinted_grid = false;  // as on old paper
    bool box = true;           // else two axes alone
    bool ticks_inside = false;
    bool smooth = true;  // else as drawn by old software, each pixel black or white
    double zoom = 1.5;   // of a page of 640 by 480
    double stroke = 1.6;
    std::string font = "DejaVu Sans";
};

struct Box {
    double left = 0;
    double top = 0;
    double right = 0;
    double bottom = 0;
    bool holds(Place place, double margin) const {
        return place[0] > left - margin && place[0] < right + margin && place[1] > top - margin &&
               place[1] < bottom + margin;
    }
};

struct Page {
    Picture picture;
    Box plot;
    std::vector<Box> written;    // over the plot: a person does not click there
    std::vector<Place> samples;  // the middles of a legend's
    // From shares of the axes.
    Place place(double u, double v) const {
        return {plot.left + u * (plot.right - plot.left),
                plot.bottom - v * (plot.bottom - plot.top)};
    }
};

Page paint(const Subject& subject, const Look& look);

}  // namespace gapwright::drawn_charts
