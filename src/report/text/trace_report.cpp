#include "report/text/trace_report.hpp"

#include <fmt/format.h>
#include <glib.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "chart/chart_marks.hpp"
#include "chart/raster.hpp"
#include "chart/trace_curve.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/text/text_table.hpp"
#include "report/words/trace_words.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

std::string_view end_words(CurveEnd end) {
    switch (end) {
        case CurveEnd::ink:
            return "the line ends";
        case CurveEnd::border:
            return "the plot ends";
        case CurveEnd::frame:
            return "it runs into the frame";
        case CurveEnd::fork:
            return "it may go on: a further place beyond tells";
    }
    return {};
}

// A cross where an axis' mark was taken, and the value that it stands for. `size`: px of the
// picture in one that is seen.
std::string mark_sign(const TraceAxes& axes, const ChartMark& mark, double size) {
    const double x = mark.at.x + 0.5;
    const double y = mark.at.y + 0.5;
    const bool below = mark.x && !mark.y;
    return fmt::format(
        "<path d=\"M{:.1f} {:.1f} h{} M{:.1f} {:.1f} v{}\" stroke=\"#b06000\" "
        "stroke-width=\"{:.3g}\"/>\n"
        "<text x=\"{:.1f}\" y=\"{:.1f}\" font-family=\"sans-serif\" font-size=\"{:.3g}\" "
        "fill=\"#8a4b00\" stroke=\"#ffffff\" stroke-width=\"{:.3g}\" "
        "paint-order=\"stroke\">{}</text>\n",
        x - 7 * size, y, 14 * size, x, y - 7 * size, 14 * size, 1.2 * size, x + 6 * size,
        y + (below ? 16 : -6) * size, 11 * size, 3 * size, mark_words(axes, mark));
}

// Curves as lines, their points as dots, and the marks.
std::string trace_signs(const TraceAxes& axes, const std::vector<NamedTrace>& traces, double size) {
    std::string svg;
    for (const auto& trace : traces) {
        svg += fmt::format(
            "<polyline fill=\"none\" stroke=\"#b06000\" stroke-width=\"{:.3g}\" points=\"",
            1.2 * size);
        // (0, 0) is the centre of a pixel, not its corner.
        for (const auto& p : trace.curve.points) {
            svg += fmt::format("{:.1f},{:.1f} ", p.pixel.x + 0.5, p.pixel.y + 0.5);
        }
        svg += "\"/>\n";
        for (const auto& p : trace.points) {
            svg += fmt::format(
                "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"{:.3g}\" fill=\"{}\" "
                "stroke=\"#b06000\" stroke-width=\"{:.3g}\"/>\n",
                p.pixel.x + 0.5, p.pixel.y + 0.5, 3 * size, p.seen ? "#b06000" : "none", size);
        }
    }
    for (const ChartMark& mark : axes.marks) svg += mark_sign(axes, mark, size);
    return svg;
}

// What the axes may be off across the curve, median, as a part of full scale.
double typical_shared(const TracedCurve& curve) {
    std::vector<double> shares;
    for (const TracedPoint& point : curve.points) shares.push_back(point.shared_share);
    const auto middle = shares.begin() + static_cast<std::ptrdiff_t>(shares.size() / 2);
    std::ranges::nth_element(shares, middle);
    return *middle;
}

std::string base64(const std::string& bytes) {
    gchar* text =
        g_base64_encode(reinterpret_cast<const guchar*>(bytes.data()), bytes.size());  // NOLINT
    std::string result = text;
    g_free(text);
    return result;
}

}  // namespace

std::string trace_text(const TraceAxes& axes, const std::vector<NamedTrace>& traces) {
    Table table({false, true, false, false, true, true, true, false});
    table.add({"curve", "points", axes.x, axes.y, "seen", "good to", "axes to", "ends where"});
    for (const auto& trace : traces) {
        const auto& first = trace.curve.points.front();
        const auto& last = trace.curve.points.back();
        const auto range = [](double a, double b, Dimension dimension) {
            return fmt::format("{} … {}", axis_value(a, dimension), axis_value(b, dimension));
        };
        table.add({trace.name, fmt::format("{}", trace.points.size()),
                   range(first.x, last.x, axes.x_dimension),
                   range(first.y, last.y, axes.y_dimension), percent(trace.curve.coverage, 2),
                   fmt::format("{:.1f} pixels", trace.curve.typical_error),
                   percent(typical_shared(trace.curve), 2),
                   fmt::format("{} · {}", end_words(trace.curve.first_end),
                               end_words(trace.curve.last_end))});
    }
    return table.text();
}

std::string trace_json(const TraceAxes& axes, const std::vector<NamedTrace>& traces,
                       const std::vector<FailedTrace>& failed) {
    const auto end = [](CurveEnd e) {
        switch (e) {
            case CurveEnd::ink:
                return "ink";
            case CurveEnd::border:
                return "border";
            case CurveEnd::frame:
                return "frame";
            case CurveEnd::fork:
                return "fork";
        }
        return "";
    };
    Json curves = Json::array();
    for (const auto& trace : traces) {
        Json points = Json::array();
        for (const auto& p : trace.points) {
            points.push_back({{axes.x, p.x},
                              {axes.y, p.y},
                              {"error", p.error},
                              {"x_error", p.x_error},
                              {"shared_error", p.shared_error},
                              {"shared_x_error", p.shared_x_error},
                              {"pixel", Json::array({p.pixel.x, p.pixel.y})},
                              {"seen", p.seen}});
        }
        curves.push_back({{"name", trace.name},
                          {"number", trace.number},
                          {"coverage", trace.curve.coverage},
                          {"first_end", end(trace.curve.first_end)},
                          {"last_end", end(trace.curve.last_end)},
                          {"typical_error_pixels", trace.curve.typical_error},
                          {"points", std::move(points)}});
    }
    Json marks = Json::array();
    for (const ChartMark& mark : axes.marks) {
        Json one = {{"pixel", Json::array({mark.at.x, mark.at.y})}};
        if (mark.x) one[axes.x] = *mark.x;
        if (mark.y) one[axes.y] = *mark.y;
        marks.push_back(std::move(one));
    }
    Json unread = Json::array();
    for (const FailedTrace& one : failed) {
        unread.push_back({{"name", one.name},
                          {"number", one.number},
                          {"cause", cause_name(one.problem.cause)},
                          {"message", one.problem.message},
                          {"remedy", one.problem.remedy}});
    }
    return text_of(Json{{"x", axes.x},
                        {"y", axes.y},
                        {"marks", std::move(marks)},
                        {"notes", axes.notes},
                        {"cautions", axes.cautions},
                        {"curves", std::move(curves)},
                        {"failed", std::move(unread)}});
}

std::string trace_overlay(const Raster& raster, const std::string& picture, const TraceAxes& axes,
                          const std::vector<NamedTrace>& traces) {
    const bool png = picture.starts_with("\x89PNG");
    // As large as it is looked at: a photograph's every pixel takes seconds to draw.
    constexpr int largest_side = 1600;  // px, own choice
    const double shown =
        std::min(1.0, static_cast<double>(largest_side) / std::max(raster.width, raster.height));
    std::string svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" "
        "xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"0 0 {0} {1}\" width=\"{4:.0f}\" "
        "height=\"{5:.0f}\">\n<title>What was read off the chart</title>\n"
        "<image width=\"{0}\" height=\"{1}\" opacity=\"0.6\" "
        "xlink:href=\"data:image/{2};base64,{3}\"/>\n",
        raster.width, raster.height, png ? "png" : "jpeg", base64(picture), shown * raster.width,
        shown * raster.height);
    return svg + trace_signs(axes, traces, 1 / shown) + "</svg>\n";
}

}  // namespace gapwright
