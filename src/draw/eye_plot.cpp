#include "draw/eye_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>

#include "draw/axes.hpp"
#include "draw/dimension_line.hpp"
#include "draw/level_lines.hpp"
#include "draw/picture.hpp"
#include "draw/traces.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double size = 11;
constexpr Box paper{60, 20, 440, 270};

std::string opening_text(const EyePlot& plot) {
    const double opening = plot.lowest_high - plot.highest_low;
    const std::string shown = engineering_short(std::abs(opening), plot.y.dimension, 3);
    return opening > 0 ? "opening " + shown : "closed by " + shown;
}

// The stretch around `at`, in pixels, that no trace enters at the height of a text there.
std::pair<double, double> free_stretch(const Axes& axes, const EyePlot& plot, Point at) {
    constexpr double half = 9;  // of the text's height, and a little
    double left = paper.left;
    double right = paper.right;
    for (const auto& trace : plot.traces) {
        for (std::size_t k = 0; k + 1 < trace.size(); ++k) {
            const Point a = axes.at(trace[k].x, trace[k].y);
            const Point b = axes.at(trace[k + 1].x, trace[k + 1].y);
            if (std::max(a.y, b.y) < at.y - half || std::min(a.y, b.y) > at.y + half) continue;
            // A run that lies across the instant leaves no room on either side.
            if (a.x <= at.x) left = std::max(left, std::min(b.x, at.x));
            if (b.x >= at.x) right = std::min(right, std::max(a.x, at.x));
        }
    }
    return {left, right};
}

// The opening between its two edges, with its text beside it; false if there was no room for the
// text within the eye.
bool draw_opening(Picture& picture, const Axes& axes, const EyePlot& plot) {
    constexpr double edge = 14;  // half the length of the lines at both ends
    constexpr double away = 10;  // from the line to its text
    constexpr double line = 10;  // half of the height that a text takes with its surround
    const Point high = axes.at(plot.sampling, plot.lowest_high);
    const Point low = axes.at(plot.sampling, plot.highest_low);
    for (const double y : {high.y, low.y}) {
        picture.line({{high.x - edge, y}, {high.x + edge, y}}, "ink");
    }
    const auto [top, bottom] = std::minmax(high.y, low.y);
    const double reach = head_reach(bottom - top);
    picture.line({{high.x, paper.top - 4}, {high.x, top - reach}}, "level");
    picture.line({{high.x, bottom + reach}, {high.x, paper.bottom}}, "level");
    draw_upright_arrows(picture, high.x, top, bottom);
    const std::string text = opening_text(plot);
    const double needed = away + text_width(text, size) + 2;
    // From the middle outwards, to a height where no level's line runs through the text.
    const double middle = (low.y + high.y) / 2;
    for (double off = 0; middle + off + line < low.y; off = off > 0 ? -off : 4 - off) {
        const double y = middle + off;
        const bool struck = std::ranges::any_of(plot.levels, [&](const PlotLevel& level) {
            return std::abs(axes.at(0, level.value).y - y) < line;
        });
        if (struck) continue;
        const auto [left, right] = free_stretch(axes, plot, {high.x, y});
        const bool beyond = right - high.x >= needed;
        if (!beyond && high.x - left < needed) continue;
        picture.text({beyond ? high.x + away : high.x - away, y + 4}, text, "name over",
                     beyond ? Anchor::start : Anchor::end, size);
        return true;
    }
    return false;
}

}  // namespace

Picture draw_eye(const EyePlot& plot) {
    Picture picture(
        plot.title,
        fmt::format("Two bits of the signal, each drawn over the others; {} where it "
                    "is sampled, {} into them.",
                    opening_text(plot), engineering_short(plot.sampling, Dimension::time, 3)));
    const Axes axes({.low = 0,
                     .high = 2 * plot.bit,
                     .dimension = Dimension::time,
                     .label = "time, over two bits"},
                    plot.y, paper);
    axes.draw(picture);
    draw_levels(picture, axes, plot.levels);
    for (const auto& trace : plot.traces) {
        draw_trace(picture, axes, thinned(cut(trace, axes.x().low, axes.x().high), axes), "trace");
    }
    if (!std::isfinite(plot.sampling) || !std::isfinite(plot.lowest_high) ||
        !std::isfinite(plot.highest_low)) {
        return picture;
    }
    std::string sampled = "sampled at " + engineering_short(plot.sampling, Dimension::time, 3);
    if (!draw_opening(picture, axes, plot)) sampled += ", " + opening_text(plot);
    // Over its line, but clear of the y axis' name, which stands at the same height.
    const double taken = paper.left + text_width(plot.y.label, size) + 12;
    const double x = std::max(axes.at(plot.sampling, 0).x, taken + text_width(sampled, size) / 2);
    picture.text({x, paper.top - 8}, sampled, "small", Anchor::middle, size);
    return picture;
}

}  // namespace gapwright
