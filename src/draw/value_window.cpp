#include "draw/value_window.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "draw/hatch.hpp"
#include "draw/picture.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double size = 11;
constexpr double left = 60;
constexpr double right = 660;  // as wide as an A4 sheet leaves room for at full size
constexpr double pitch = 84;   // from row to row
constexpr double half = 8;     // of a bar's height
constexpr double text_pitch = 15;

std::string ohms(double value) {
    return engineering_short(value, Dimension::resistance, 3);
}

struct Scale {
    double low;
    double high;

    double x(double value) const {
        const double share = std::log(value / low) / std::log(high / low);
        return std::lerp(left, right, std::clamp(share, 0.0, 1.0));
    }
};

// Steps of 1, 2 and 5 over every decade that the range touches.
std::vector<double> steps_over(double low, double high) {
    std::vector<double> steps;
    const int first = static_cast<int>(std::floor(std::log10(low)));
    const int last = static_cast<int>(std::ceil(std::log10(high)));
    for (int decade = first; decade <= last; ++decade) {
        for (const double factor : {1.0, 2.0, 5.0}) {
            steps.push_back(factor * std::pow(10.0, decade));
        }
    }
    return steps;
}

// What the picture shows of the values on offer: the windows, what was taken and looked at, and
// enough beside them to see where the windows end.
Scale scale_of(const std::vector<ValueWindowRow>& rows) {
    constexpr double beside = 2.5;  // times
    double low = rows.front().taken;
    double high = low;
    double lowest = rows.front().lowest;
    double highest = rows.front().highest;
    const auto show = [&](double value) {
        low = std::min(low, value);
        high = std::max(high, value);
    };
    for (const auto& row : rows) {
        show(row.taken);
        for (const double value : row.candidates) show(value);
        if (row.holds_from <= row.holds_to) {
            show(std::max(row.holds_from, row.lowest));
            show(std::min(row.holds_to, row.highest));
        }
        lowest = std::min(lowest, row.lowest);
        highest = std::max(highest, row.highest);
    }
    low = std::min(low, std::max(low / beside, lowest));
    high = std::max(high, std::min(high * beside, highest));
    constexpr double slack = 1e-9;
    Scale scale{low, high};
    for (const double step : steps_over(low, high)) {
        if (step <= low * (1 + slack)) scale.low = step;
        if (step >= high * (1 - slack)) {
            scale.high = step;
            break;
        }
    }
    if (!(scale.high > scale.low)) scale.high = 2 * scale.low;
    return scale;
}

// Lines at 1, 2 and 5; figures at all of them, or at the decades alone where room is short.
void draw_scale(Picture& picture, const Scale& scale, double bottom) {
    constexpr double slack = 1e-9;
    constexpr double room = 48;
    std::vector<double> ticks;
    for (const double step : steps_over(scale.low, scale.high)) {
        if (step >= scale.low * (1 - slack) && step <= scale.high * (1 + slack)) {
            ticks.push_back(step);
        }
    }
    const double decade = (right - left) / std::log10(scale.high / scale.low);
    const bool all = decade * std::log10(2.0) > room;
    for (const double tick : ticks) {
        const double x = scale.x(tick);
        picture.line({{x, 0}, {x, bottom}}, "grid");
        const double power = std::log10(tick);
        if (!all && std::abs(power - std::round(power)) > slack) continue;
        picture.text({x, bottom + 16}, ohms(tick), "small", Anchor::middle, size);
    }
    picture.text({right, bottom + 34}, "resistance, logarithmic", "small", Anchor::end, size);
}

// The left edge at which a text of this width stands, as near to `wanted` as the paper allows.
double within_paper(double wanted, double width) {
    return std::clamp(wanted, left, std::max(left, right - width));
}

// What ends the window on each side, under the bar; on two lines where one has no room for both.
void draw_ends(Picture& picture, const ValueWindowRow& row, const Scale& scale, double y) {
    constexpr double apart = 14;
    double free_from = left;
    double line = y + half + 16;
    if (!row.ends_below.empty()) {
        const auto text = fmt::format("below {}: {}", ohms(row.holds_from), row.ends_below);
        const double width = text_width(text, size);
        const double at = within_paper(scale.x(row.holds_from) - width, width);
        picture.text({at, line}, text, "small over", Anchor::start, size);
        free_from = at + width + apart;
    }
    if (!row.ends_above.empty()) {
        const auto text = fmt::format("above {}: {}", ohms(row.holds_to), row.ends_above);
        const double width = text_width(text, size);
        const double wanted = scale.x(row.holds_to);
        double at = within_paper(std::max(wanted, free_from), width);
        if (at < free_from || at > wanted + apart) {
            at = within_paper(wanted, width);
            if (at < free_from) line += text_pitch;
        }
        picture.text({at, line}, text, "small over", Anchor::start, size);
    }
}

// The taken value: an upright through the bar, a point above it, its text over that.
void draw_taken(Picture& picture, const ValueWindowRow& row, const Scale& scale, double y) {
    const double x = scale.x(row.taken);
    const double top = y - half - 5;
    // Set off from the bar, whose tone lies near the ink's in the dark.
    picture.rectangle({x - 3, y - half, x + 3, y + half}, "paper");
    picture.line({{x, top}, {x, y + half + 3}}, "bound");
    picture.path(fmt::format("M{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}Z", x, top + 4, x - 5,
                             top - 4, x + 5, top - 4),
                 "solid");
    const double width = text_width(row.taken_text, size);
    picture.text({within_paper(x - width / 2, width), top - 8}, row.taken_text, "name over",
                 Anchor::start, size);
}

void draw_row(Picture& picture, const ValueWindowRow& row, const Scale& scale, double y) {
    picture.text({left - 12, y + 4}, row.part, "name", Anchor::end, size);
    const double begin = scale.x(row.lowest);
    const double end = scale.x(row.highest);
    if (row.holds_from <= row.holds_to) {
        const double from = scale.x(row.holds_from);
        const double to = std::max(scale.x(row.holds_to), from + 2);  // one value is still seen
        draw_forbidden(picture, {begin, y - half, from, y + half});
        draw_forbidden(picture, {to, y - half, end, y + half});
        picture.rectangle({from, y - half, to, y + half}, "kept");
        draw_ends(picture, row, scale, y);
    } else {
        draw_forbidden(picture, {begin, y - half, end, y + half});
        picture.text({left, y + half + 16}, "no value holds, the others as chosen", "small over",
                     Anchor::start, size);
    }
    for (const double value : row.candidates) {
        const double x = scale.x(value);
        picture.line({{x, y + half}, {x, y + half + 4}}, "ink");
    }
    draw_taken(picture, row, scale, y);
}

}  // namespace

Picture draw_value_windows(const ValueWindowPlot& plot) {
    Picture picture(plot.title,
                    "One row for each resistor: the full bar holds the values with which every "
                    "promise and rating is kept, the others as chosen; hatched ground does not. "
                    "The point marks the value taken, the ticks below the candidates.");
    if (plot.rows.empty()) return picture;
    const Scale scale = scale_of(plot.rows);
    const double bottom = pitch * static_cast<double>(plot.rows.size());
    draw_scale(picture, scale, bottom);
    double y = 38;
    for (const auto& row : plot.rows) {
        draw_row(picture, row, scale, y);
        y += pitch;
    }
    return picture;
}

}  // namespace gapwright
