#include "reference/drawn_charts/painter.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "reference/drawn_charts/pen.hpp"

namespace gapwright::drawn_charts {
namespace {

constexpr std::array<Colour, 6> colours{{{0.8, 0.05, 0.05},
                                         {0.05, 0.1, 0.8},
                                         {0, 0.5, 0.1},
                                         {0.95, 0.55, 0},
                                         {0.7, 0, 0.7},
                                         {0, 0.6, 0.7}}};

Colour colour_of(const Look& look, std::size_t curve) {
    if (look.ink == Ink::black) return {};
    return colours[look.ink == Ink::one_colour ? 1 : curve % colours.size()];
}

int dash_of(const Look& look, std::size_t curve, std::size_t curves) {
    if (!look.dashed) return 0;
    return curves == 1 ? 1 : static_cast<int>(curve);  // of a family the first is whole
}

std::string number(double value) {
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), "%g", std::abs(value) < 1e-9 ? 0 : value);
    return text.data();
}

// Lines of the grid beside those at the labels.
std::vector<double> between_labels(const Axis& axis) {
    std::vector<double> all;
    if (!axis.logarithmic) {
        for (double at = axis.from + axis.step / 2; at < axis.to; at += axis.step)
            all.push_back(at);
        return all;
    }
    for (double decade = axis.from; decade < axis.to * 0.999; decade *= 10) {
        for (int i = 2; i < 10; ++i) all.push_back(decade * i);
    }
    return all;
}

std::vector<double> fifths(const Axis& axis) {
    if (axis.logarithmic) return between_labels(axis);
    std::vector<double> all;
    for (double at = axis.from + axis.step / 5; at < axis.to; at += axis.step / 5)
        all.push_back(at);
    return all;
}

void grid_and_axes(Pen& pen, const Page& page, const Subject& subject, const Look& look) {
    const double z = look.zoom;
    const auto lines = [&](const std::vector<double>& x, const std::vector<double>& y,
                           double wide) {
        for (double at : x) {
            const double u = subject.x.share(at);
            pen.line(page.place(u, 0), page.place(u, 1), wide);
        }
        for (double at : y) {
            const double v = subject.y.share(at);
            pen.line(page.place(0, v), page.place(1, v), wide);
        }
    };
    const auto few_x = subject.x.labels();
    const auto few_y = subject.y.labels();
    const auto many_x = between_labels(subject.x);
    const auto many_y = between_labels(subject.y);
    if (look.grid == Grid::fine) {
        pen.colour(look.tinted_grid ? Colour{0.95, 0.75, 0.55} : Colour{0.82, 0.82, 0.82});
        lines(many_x, many_y, 0.6 * z);
        pen.colour(look.tinted_grid ? Colour{0.9, 0.55, 0.3} : Colour{0.68, 0.68, 0.68});
        lines(few_x, few_y, 0.8 * z);
    } else if (look.grid == Grid::dense) {
        pen.colour({0.1, 0.1, 0.1});
        lines(fifths(subject.x), fifths(subject.y), 0.7 * z);
        lines(few_x, few_y, 0.8 * z);
    } else if (look.grid == Grid::heavy) {
        pen.colour({0.15, 0.15, 0.15});
        lines(many_x, many_y, 0.5 * z);
        lines(few_x, few_y, 0.9 * z);
    }
    pen.colour({});
    const double frame = 1.2 * z;
    pen.line(page.place(0, 0), page.place(1, 0), frame);
    pen.line(page.place(0, 0), page.place(0, 1), frame);
    if (look.box) {
        pen.line(page.place(1, 1), page.place(1, 0), frame);
        pen.line(page.place(1, 1), page.place(0, 1), frame);
    }
    const double tick = (look.ticks_inside ? -5 : 5) * z;
    for (double at : few_x) {
        const Place foot = page.place(subject.x.share(at), 0);
        pen.line(foot, {foot[0], foot[1] + tick}, z);
        pen.text({foot[0], foot[1] + 14 * z}, 0.5, number(at), 11 * z);
    }
    for (double at : few_y) {
        const Place foot = page.place(0, subject.y.share(at));
        pen.line(foot, {foot[0] - tick, foot[1]}, z);
        pen.text({foot[0] - 9 * z, foot[1]}, 1, number(at), 11 * z);
    }
    const auto name = [](const Axis& axis) {
        std::string text = axis.quantity;
        std::replace(text.begin(), text.end(), '_', ' ');
        return text + " (" + axis.unit + ")";
    };
    const Place below = page.place(0.5, 0);
    const Place beside = page.place(0, 0.5);
    const Place above = page.place(0.5, 1);
    pen.text({below[0], below[1] + 32 * z}, 0.5, name(subject.x), 12 * z);
    pen.text({beside[0] - 50 * z, beside[1]}, 0.5, name(subject.y), 12 * z, true);
    pen.text({above[0], above[1] - 16 * z}, 0.5, "Clock tower of Averley, figure 3", 11 * z);
}

std::vector<Place> drawn(const Page& page, const Subject& subject, const Curve& curve) {
    std::vector<Place> places;
    const double from = subject.x.share(curve.from);
    const double to = subject.x.share(curve.to);
    for (int i = 0; i <= 500; ++i) {
        const double u = from + (to - from) * i / 500;
        places.push_back(page.place(u, subject.y.share(curve.y(subject.x.value(u)))));
    }
    return places;
}

void write_labels(Pen& pen, Page& page, const Subject& subject, const Look& look) {
    const double z = look.zoom;
    const double size = 10.5 * z;
    for (std::size_t j = 0; j < subject.curves.size(); ++j) {
        const Curve& curve = subject.curves[j];
        const auto places = drawn(page, subject, curve);
        const std::string text = curve.label.empty() ? "typical" : curve.label;
        const std::size_t i = 300 + 35 * (j % 4);
        const Place at = places[i];
        const double slope = std::abs((places[i + 5][1] - at[1]) / (places[i + 5][0] - at[0]));
        pen.colour({});
        if (look.labels == Labels::near_curve) {
            const Place where =
                slope > 0.7 ? Place{at[0] + 7 * z, at[1] + 2 * z} : Place{at[0], at[1] - 9 * z};
            page.written.push_back(pen.text(where, slope > 0.7 ? 0 : 0.5, text, size));
        } else if (look.labels == Labels::breaking_it) {
            const double half = pen.width(text, size) / 2 + 2 * z;
            pen.box({at[0] - half, at[1] - 7 * z, at[0] + half, at[1] + 7 * z}, false);
            page.written.push_back(pen.text(at, 0.5, text, size));
        } else if (look.labels == Labels::at_its_end) {
            const Place end = places.back();
            const bool steep =
                std::abs(places[495][1] - end[1]) > std::abs(places[495][0] - end[0]);
            const Place where =
                steep ? Place{end[0] + 4 * z, end[1] + 8 * z} : Place{end[0] + 5 * z, end[1]};
            page.written.push_back(pen.text(where, 0, text, size));
        } else {
            const Place foot{at[0] + 30 * z, at[1] + 26 * z};
            pen.line(foot, {at[0] + 1.5 * z, at[1] + 1.5 * z}, 0.8 * z);
            page.written.push_back({at[0] - 2 * z, at[1] - 2 * z, foot[0], foot[1]});
            page.written.push_back(pen.text({foot[0] + 2 * z, foot[1] + 3 * z}, 0, text, size));
        }
    }
}

Box legend_place(const Page& page, const Subject& subject, const Look& look, double w, double h) {
    const double z = look.zoom;
    const Box& plot = page.plot;
    if (look.legend == Legend::beside) {
        return {plot.right + 14 * z, plot.top + 20 * z, plot.right + 14 * z + w,
                plot.top + 20 * z + h};
    }
    if (look.legend == Legend::over_curves) {
        const Place middle = page.place(0.5, 0.52);
        return {middle[0] - w / 2, middle[1] - h / 2, middle[0] + w / 2, middle[1] + h / 2};
    }
    Box best;
    std::size_t least = 1U << 30U;
    for (int corner = 0; corner < 4; ++corner) {
        const double left = corner % 2 == 0 ? plot.left + 10 * z : plot.right - 10 * z - w;
        const double top = corner / 2 == 0 ? plot.top + 10 * z : plot.bottom - 10 * z - h;
        const Box box{left, top, left + w, top + h};
        std::size_t hidden = 0;
        for (const Curve& curve : subject.curves) {
            for (const Place& place : drawn(page, subject, curve))
                hidden += box.holds(place, 6 * z);
        }
        if (hidden < least) {
            least = hidden;
            best = box;
        }
    }
    return best;
}

void write_legend(Pen& pen, Page& page, const Subject& subject, const Look& look) {
    const double z = look.zoom;
    const auto text_of = [](const Curve& curve) {
        return curve.label.empty() ? std::string("typical") : curve.label;
    };
    double widest = 0;
    for (const Curve& curve : subject.curves) {
        widest = std::max(widest, pen.width(text_of(curve), 11 * z));
    }
    const double row = 16 * z;
    const double high = row * static_cast<double>(subject.curves.size()) + 8 * z;
    const Box box = legend_place(page, subject, look, widest + 48 * z, high);
    if (!look.bare_legend) pen.box(box, look.legend != Legend::beside);
    page.written.push_back(box);
    for (std::size_t j = 0; j < subject.curves.size(); ++j) {
        const double y = box.top + 4 * z + row * (static_cast<double>(j) + 0.5);
        pen.colour(colour_of(look, j));
        pen.stroke({{box.left + 6 * z, y}, {box.left + 36 * z, y}}, look.stroke * z,
                   dash_of(look, j, subject.curves.size()));
        page.samples.push_back({box.left + 21 * z, y});
        pen.colour({});
        pen.text({box.left + 42 * z, y}, 0, text_of(subject.curves[j]), 11 * z);
    }
}

}  // namespace

Page paint(const Subject& subject, const Look& look) {
    const double z = look.zoom;
    const bool wide = look.legend == Legend::beside || look.labels == Labels::at_its_end;
    Page page;
    page.plot = {80 * z, 44 * z, (wide ? 520 : 605) * z, 420 * z};
    Pen pen(static_cast<int>(640 * z), static_cast<int>(480 * z), look);
    grid_and_axes(pen, page, subject, look);
    for (std::size_t j = 0; j < subject.curves.size(); ++j) {
        pen.colour(colour_of(look, j));
        const auto places = drawn(page, subject, subject.curves[j]);
        pen.stroke(places, look.stroke * z, dash_of(look, j, subject.curves.size()));
        for (std::size_t i = 25; look.markers && i < places.size(); i += 50) {
            pen.marker(places[i], (2 + look.stroke) * z, j % 2 == 1);
        }
    }
    if (look.labels != Labels::none) write_labels(pen, page, subject, look);
    if (look.legend != Legend::none) write_legend(pen, page, subject, look);
    page.picture = pen.picture();
    return page;
}

}  // namespace gapwright::drawn_charts
