#include "draw/trade_off_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/curve_names.hpp"
#include "draw/hatch.hpp"
#include "draw/labels.hpp"
#include "draw/picture.hpp"
#include "draw/traces.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double size = 11;
constexpr Box paper{60, 20, 540, 270};

// The paper on the bound's good side, all of it without a bound; and that beyond.
Box allowed(const Axes& axes, const std::optional<TradeOffBound>& bound) {
    if (!bound) return paper;
    const double y = axes.at(axes.x().low, bound->y).y;
    return bound->at_least ? Box{paper.left, paper.top, paper.right, y}
                           : Box{paper.left, y, paper.right, paper.bottom};
}
Box forbidden(const Axes& axes, const TradeOffBound& bound) {
    const double y = axes.at(axes.x().low, bound.y).y;
    return bound.at_least ? Box{paper.left, y, paper.right, paper.bottom}
                          : Box{paper.left, paper.top, paper.right, y};
}

// A bar along the axis, between it and its figures; named in a line below them.
void draw_kept(Picture& picture, const Axes& axes, const TradeOffRange& kept) {
    constexpr double above = 1.5;
    constexpr double below = 7.5;
    const double from = axes.at(kept.from, axes.y().low).x;
    const double to = std::max(axes.at(kept.to, axes.y().low).x, from + 2);  // one value is seen
    picture.rectangle({from, paper.bottom + above, to, paper.bottom + below}, "kept");
    const std::string text =
        "kept: " + engineering_range(kept.from, kept.to, axes.x().dimension, 3);
    const double room =
        paper.right - paper.left - text_width(axes.x().label, size) - text_width(text, size);
    const double y = paper.bottom + (room > 40 ? 36 : 52);
    picture.rectangle({paper.left, y - 7, paper.left + 18, y - 1}, "kept");
    picture.text({paper.left + 24, y}, text, "small", Anchor::start, size);
}

}  // namespace

Picture draw_trade_off(const TradeOffPlot& plot) {
    std::string description = "Curves against the value of a part.";
    if (plot.bound)
        description += fmt::format(" Hatched ground lies beyond {}.", plot.bound->label);
    for (const auto& mark : plot.marks) description += fmt::format(" Marked: {}.", mark.label);
    Picture picture(plot.title, description);
    const Axes axes(plot.x, plot.y, paper);
    axes.draw(picture);
    Labels labels(picture, paper);
    if (plot.bound) {
        const Box ground = forbidden(axes, *plot.bound);
        draw_forbidden(picture, ground);
        labels.keep_clear_of(ground);
        const double y = axes.at(axes.x().low, plot.bound->y).y;
        picture.line({{paper.left, y}, {paper.right, y}}, "bound");
    }
    std::vector<std::vector<Point>> curves;
    std::vector<std::string> names;
    for (const auto& curve : plot.curves) {
        curves.push_back(cut(curve.points, axes.x().low, axes.x().high));
        draw_trace(picture, axes, curves.back(), curve.css);
        names.push_back(curve.label);
        labels.keep_clear_of(axes, curves.back());
    }
    for (const auto& mark : plot.marks) {
        constexpr double radius = 4.5;
        if (!std::isfinite(mark.at.x) || !std::isfinite(mark.at.y)) continue;
        const Point p = axes.at(mark.at.x, mark.at.y);
        picture.line({p, {p.x, paper.bottom}}, "level");
        picture.circle(p, radius, "dot");
        labels.keep_clear_of({p.x - 6, p.y - 6, p.x + 6, p.y + 6});
        labels.keep_clear_of({p.x - 3, p.y, p.x + 3, paper.bottom});
    }
    if (plot.bound) {
        labels.put(axes.at(axes.x().low, plot.bound->y), plot.bound->label, "small over");
    }
    for (const auto& mark : plot.marks) {
        if (!std::isfinite(mark.at.x) || !std::isfinite(mark.at.y)) continue;
        labels.put(axes.at(mark.at.x, mark.at.y), mark.label, "name over");
    }
    name_curves(picture, axes, labels, allowed(axes, plot.bound), curves, names, "small over");
    if (plot.kept) draw_kept(picture, axes, *plot.kept);
    return picture;
}

}  // namespace gapwright
