#include "draw/curve_plot.hpp"

#include <fmt/format.h>

#include <cmath>
#include <ranges>
#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/curve_names.hpp"
#include "draw/labels.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr Box paper{66, 20, 540, 300};

bool finite(const Point& p) {
    return std::isfinite(p.x) && std::isfinite(p.y);
}

// Points within the axes; where a curve leaves them, where it does.
std::vector<Point> within(const std::vector<Point>& curve, const Axes& axes) {
    std::vector<Point> result;
    for (const auto& p : curve) {
        const bool inside = finite(p) && p.x >= axes.x().low && p.x <= axes.x().high &&
                            p.y >= axes.y().low && p.y <= axes.y().high;
        if (inside) result.push_back(p);
    }
    return result;
}

void draw_band(Picture& picture, const Axes& axes, const PlotBand& band) {
    std::string d;
    const auto add = [&](const Point& p) {
        if (!finite(p)) return;
        const Point at = axes.at(p.x, p.y);
        d += fmt::format("{}{:.2f} {:.2f}", d.empty() ? "M" : " L", at.x, at.y);
    };
    for (const auto& p : band.lower) add(p);
    for (const auto& p : std::views::reverse(band.upper)) add(p);
    if (!d.empty()) picture.path(d + " Z", "band");
}

// Words in lines no wider than the paper.
std::vector<std::string> lines_of(const std::string& words, double size) {
    std::vector<std::string> lines;
    for (const auto part : std::views::split(words, ' ')) {
        const std::string word(part.begin(), part.end());
        const bool fits = !lines.empty() &&
                          text_width(lines.back() + ' ' + word, size) <= paper.right - paper.left;
        if (fits) {
            lines.back() += ' ' + word;
        } else {
            lines.push_back(word);
        }
    }
    return lines;
}

// Above the y axis' name.
void draw_title(Picture& picture, const std::string& title) {
    constexpr double size = 12;
    constexpr double lowest = paper.top - 30;
    constexpr double line_height = 16;
    const auto lines = lines_of(title, size);
    double y = lowest - line_height * (static_cast<double>(lines.size()) - 1);
    for (const auto& line : lines) {
        picture.text({paper.left, y}, line, "name", Anchor::start, size);
        y += line_height;
    }
}

}  // namespace

Picture draw_curves(const CurvePlot& plot) {
    Picture picture(plot.title, plot.description);
    const Axes axes(plot.x, plot.y, paper);
    axes.draw(picture);
    if (!plot.title.empty()) draw_title(picture, plot.title);
    if (!plot.note.empty()) {
        picture.text({paper.left, paper.bottom + 54}, plot.note, "small", Anchor::start, 11);
    }
    Labels labels(picture, paper);
    for (const auto& band : plot.bands) draw_band(picture, axes, band);
    std::vector<std::vector<Point>> curves;
    std::vector<std::string> names;
    for (const auto& curve : plot.curves) {
        curves.push_back(within(curve.points, axes));
        axes.curve(picture, curves.back(), curve.css);
        names.push_back(curve.label);
        labels.keep_clear_of(axes, curves.back());
    }
    constexpr double radius = 3.2;
    const auto mark = [&](const Point& p, double size, std::string_view css) {
        if (!finite(p)) return;
        const Point at = axes.at(p.x, p.y);
        picture.circle(at, size, css);
        labels.keep_clear_of({at.x - size, at.y - size, at.x + size, at.y + size});
    };
    for (const auto& dot : plot.dots) mark(dot, radius, "dot");
    for (const auto& ring : plot.rings) mark(ring, 2 * radius, "ink");
    name_curves(picture, axes, labels, paper, curves, names, "small over");
    return picture;
}

}  // namespace gapwright
