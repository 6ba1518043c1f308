#include "draw/plots.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "draw/axes.hpp"
#include "draw/hatch.hpp"
#include "draw/labels.hpp"
#include "draw/picture.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double size = 11;

// Where a plot's curves go: narrow enough for two plots beside each other on a sheet.
constexpr Box plot_paper(double bottom) {
    return {60, 20, 440, bottom};
}

std::string_view sign(Standing standing) {
    switch (standing) {
        case Standing::kept:
            return "✓ kept";
        case Standing::thin:
            return "! thin";
        case Standing::unknown:
            return "? unknown";
        case Standing::broken:
            break;
    }
    return "✗ broken";
}

std::string_view bar_class(Standing standing) {
    switch (standing) {
        case Standing::kept:
            return "kept";
        case Standing::thin:
        case Standing::unknown:
            return "thin-bar";
        case Standing::broken:
            break;
    }
    return "broken";
}

// Which line is which, below the plot: curves may lie so close that no label beside one is clear.
void draw_legend(Picture& picture, const Box& paper, const std::vector<PlotCurve>& curves) {
    constexpr double sample = 26;
    constexpr double pitch = 16;
    Point at{paper.left, paper.bottom + 56};
    for (const auto& curve : curves) {
        const double width = sample + 6 + text_width(curve.label, size) + 18;
        if (at.x > paper.left && at.x + width > paper.right + 18) at = {paper.left, at.y + pitch};
        picture.line({at, {at.x + sample, at.y}}, curve.css);
        picture.text({at.x + sample + 6, at.y + 4}, curve.label, "small", Anchor::start, size);
        at.x += width;
    }
}

// A row's bar from `left`, which stands for nothing, over a width of twice the bound.
void draw_bar(Picture& picture, const MarginRow& row, Point left, double width) {
    const double scale = std::max(std::abs(row.bound), 1e-300);
    const double y = left.y;
    const auto x_of = [&](double value) {
        return left.x + width * std::clamp(value / scale, 0.0, 2.0) / 2;
    };
    picture.line({{left.x, y + 9}, {left.x + width, y + 9}}, "thin");
    const double worst = x_of(row.worst);
    const double bound = x_of(row.bound);
    // The side of the bound on which a value breaks it is hatched.
    const double forbidden = row.at_least ? left.x : bound;
    const double until = row.at_least ? bound : left.x + width;
    std::string hatch;
    for (double x = forbidden; x + 8 <= until; x += 8) {
        hatch += fmt::format("M{:.1f} {:.1f}l8 -16", x, y + 8);
    }
    picture.path(hatch, "hatch");
    if (worst > left.x) {
        picture.rectangle({left.x, y - 6, worst, y + 6}, bar_class(row.standing));
    }
    // Off the scale: the bar is cut.
    if (row.worst / scale > 2) {
        picture.path(fmt::format("M{0:.1f} {1:.1f}l6 -18M{2:.1f} {1:.1f}l6 -18", worst - 22, y + 9,
                                 worst - 16),
                     "cut-mark");
    }
    const std::size_t step = std::max<std::size_t>(1, row.drawn.size() / 60);
    for (std::size_t k = 0; k < row.drawn.size(); k += step) {
        const double x = x_of(row.drawn[k]);
        picture.line({{x, y + 9}, {x, y + 14}}, "tick");
    }
    const double nominal = x_of(row.nominal);
    picture.line({{nominal, y - 9}, {nominal, y + 9}}, "ink");
    picture.line({{bound, y - 12}, {bound, y + 12}}, "bound");
    // The bound's open side: at least opens to the right, at most to the left.
    const double open = row.at_least ? 6 : -6;
    picture.line({{bound, y - 12}, {bound + open, y - 12}}, "bound");
    picture.line({{bound, y + 12}, {bound + open, y + 12}}, "bound");
}

}  // namespace

// Every row is drawn in shares of its bound, so that rows of all units stand under one another: the
// bar reaches from nothing to the worst value, the mark is the bound.
Picture draw_margins(const std::string& title, const std::vector<MarginRow>& rows) {
    Picture picture(title,
                    "One bar for each promise or rating: the bar is the worst value found, "
                    "the upright mark the bound, the tick the nominal value.");
    constexpr double bar_left = 230;
    constexpr double bar_width = 300;  // of twice the bound
    constexpr double pitch = 34;
    double y = 0;
    for (const auto& row : rows) {
        picture.text({bar_left - 12, y + 4}, row.label, "", Anchor::end, size);
        draw_bar(picture, row, {bar_left, y}, bar_width);
        picture.text({bar_left + bar_width + 14, y + 4},
                     fmt::format("{}  {}", sign(row.standing), row.value_text), "small",
                     Anchor::start, size);
        y += pitch;
    }
    return picture;
}

Picture draw_margin_bar(const MarginRow& row) {
    Picture picture(row.label, row.value_text);
    draw_bar(picture, row, {0, 0}, 200);
    return picture;
}

Picture draw_load_lines(const LoadLinePlot& plot) {
    Picture picture(plot.title,
                    "Curves of the part and the line of its load; operating points are "
                    "marked for each state.");
    const Box paper = plot_paper(270);
    const Axes axes(plot.x, plot.y, paper);
    axes.draw(picture);
    // Beyond a limit of the card: hatched, forbidden ground.
    if (plot.largest_x && *plot.largest_x < plot.x.high) {
        draw_forbidden(picture,
                       {axes.at(*plot.largest_x, 0).x, paper.top, paper.right, paper.bottom});
    }
    if (plot.largest_y && *plot.largest_y < plot.y.high) {
        draw_forbidden(picture,
                       {paper.left, paper.top, paper.right, axes.at(0, *plot.largest_y).y});
    }
    Labels labels(picture, paper);
    for (const auto& curve : plot.curves) {
        axes.curve(picture, curve.points, curve.css);
        labels.keep_clear_of(axes, curve.points);
    }
    for (const auto& mark : plot.marks) {
        const Point p = axes.at(mark.at.x, mark.at.y);
        picture.circle(p, 4.5, "dot");
        labels.keep_clear_of({p.x - 6, p.y - 6, p.x + 6, p.y + 6});
    }
    for (const auto& mark : plot.marks) {
        labels.put(axes.at(mark.at.x, mark.at.y), mark.label, "name over");
    }
    draw_legend(picture, paper, plot.curves);
    return picture;
}

Picture draw_histogram(const HistogramPlot& plot) {
    Picture picture(plot.title, "How many of the drawn specimens lie in each range of the value.");
    const double most =
        plot.counts.empty()
            ? 1
            : static_cast<double>(std::max<std::uint64_t>(1, std::ranges::max(plot.counts)));
    const Box paper = plot_paper(200);
    const Axes axes(plot.x,
                    {.low = 0,
                     .high = most * 1.08,
                     .dimension = Dimension::ratio,
                     .label = fmt::format("specimens, of {} drawn", plot.specimens)},
                    paper);
    axes.draw(picture);
    Labels labels(picture, paper);
    for (std::size_t k = 0; k < plot.counts.size(); ++k) {
        if (plot.counts[k] == 0) continue;
        const double low = plot.first + plot.bar * static_cast<double>(k);
        const Point a = axes.at(low, static_cast<double>(plot.counts[k]));
        const Point b = axes.at(low + plot.bar, 0);
        // Bars stand apart where there is room for it.
        const double gap = b.x - a.x > 3 ? 0.5 : 0;
        picture.rectangle({a.x + gap, std::min(a.y, b.y - 1), b.x - gap, b.y}, "bar");
        labels.keep_clear_of({a.x, a.y, b.x, paper.bottom});
    }
    std::vector<std::pair<double, std::string>> uprights;
    const auto upright = [&](double value, const std::string& text, std::string_view css) {
        if (value < plot.x.low || value > plot.x.high) return;
        const double x = axes.at(value, 0).x;
        picture.line({{x, paper.top}, {x, paper.bottom}}, css);
        labels.keep_clear_of({x - 2, paper.top, x + 2, paper.bottom});
        uprights.emplace_back(x, text);
    };
    const auto shown = [&](double v) { return engineering_short(v, plot.x.dimension, 4); };
    upright(plot.nominal, "nominal " + shown(plot.nominal), "ink");
    if (plot.at_least) upright(*plot.at_least, "≥ " + shown(*plot.at_least), "bound");
    if (plot.at_most) upright(*plot.at_most, "≤ " + shown(*plot.at_most), "bound");
    for (const auto& [x, text] : uprights) labels.put({x, paper.top + 18}, text, "small over");
    return picture;
}

Picture draw_life(const LifePlot& plot) {
    Picture picture(plot.title,
                    "The share of light that is left, and the share of each promise's "
                    "nominal reserve, against years of service.");
    double low = 0;
    double high = 1;
    for (const auto& curve : plot.curves) {
        for (const auto& p : curve.points) {
            low = std::min(low, p.y);
            high = std::max(high, p.y);
        }
    }
    const Box paper = plot_paper(200);
    const Axes axes({.low = 0,
                     .high = plot.years.back(),
                     .dimension = Dimension::ratio,
                     .label = "years of service"},
                    {.low = low,
                     .high = high * 1.05,
                     .dimension = Dimension::ratio,
                     .label = "share of its value when new"},
                    paper);
    axes.draw(picture);
    for (const auto& curve : plot.curves) axes.curve(picture, curve.points, curve.css);
    draw_legend(picture, paper, plot.curves);
    return picture;
}

}  // namespace gapwright
