#include <fmt/format.h>
#include <expected>
#include <string>
#include <utility>
#include <vector>

#include "card/points.hpp"
#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/raster.hpp"
#include "chart/ready_chart.hpp"
#include "chart/shared_errors.hpp"
#include "chart/trace_curve.hpp"
#include "page/jobs.hpp"
#include "page/json.hpp"
#include "page/point_settings.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "report/text/trace_report.hpp"
#include "report/text/traced_points.hpp"
#include "report/words/trace_words.hpp"

namespace gapwright {
namespace {

constexpr int points_of_a_curve = 25;  // as `card trace` takes by default

PixelPoint pixel_in(const Json& object) {
    return {number_in(object, "x", 0), number_in(object, "y", 0)};
}

struct Axis {
    const PointQuantity* quantity = nullptr;
    AxisScale scale;
};
Answered<Axis> axis_of(const Json& order, const char* which) {
    const Json marks = order.value(which, Json::object());
    if (!marks.is_object()) return refused(400, "an axis is missing");
    Axis axis;
    axis.quantity = find_point_quantity(text_in(marks, "quantity"));
    if (axis.quantity == nullptr) {
        return refused(422, fmt::format("what runs along the {} axis is not said", which),
                       "choose a quantity for it");
    }
    const auto logarithmic = marks.find("logarithmic");
    axis.scale.logarithmic =
        logarithmic != marks.end() && logarithmic->is_boolean() && logarithmic->get<bool>();
    for (const auto& [name, mark] :
         {std::pair("first", &axis.scale.first), std::pair("second", &axis.scale.second)}) {
        const Json at = marks.value(name, Json::object());
        if (!at.is_object()) return refused(400, "a mark is missing");
        const auto value = point_quantity(*axis.quantity, text_in(at, "value"),
                                          fmt::format("the {} mark of the {} axis", name, which));
        if (!value) return std::unexpected(value.error());
        *mark = {.at = pixel_in(at), .value = *value};
    }
    return axis;
}

}  // namespace

Answered<Json> trace_work(Workspace& workspace, const Json& order, JobProgress& progress) {
    const Json trace = order.value("trace", Json::object());
    if (!trace.is_object()) return refused(400, "there is nothing to read");
    progress.say("reading the picture");
    const std::string id = text_in(order, "chart");
    const auto bytes = workspace.read(id, "", largest_picture_file);
    if (!bytes) return std::unexpected(bytes.error());
    const auto raster = decode_raster(bytes->text, *workspace.file_of(id));
    if (!raster) return refused("the picture cannot be read", raster.error());
    const auto x = axis_of(trace, "x");
    if (!x) return std::unexpected(x.error());
    const auto y = axis_of(trace, "y");
    if (!y) return std::unexpected(y.error());
    std::vector<ChartMark> marks;
    for (const AxisMark& mark : {x->scale.first, x->scale.second}) {
        marks.push_back({.at = mark.at, .x = mark.value});
    }
    for (const AxisMark& mark : {y->scale.first, y->scale.second}) {
        marks.push_back({.at = mark.at, .y = mark.value});
    }
    const auto marked =
        scale_of_marks(marks, {.x = x->scale.logarithmic, .y = y->scale.logarithmic});
    if (!marked) return refused("the marks do not make a scale", marked.error());
    const auto settings = point_settings(trace);
    if (!settings) return std::unexpected(settings.error());
    std::vector<PixelPoint> seeds;
    for (const Json& seed : trace.value("seeds", Json::array())) {
        if (seed.is_object()) seeds.push_back(pixel_in(seed));
    }
    if (seeds.empty()) return refused(422, "no place on the curve is marked", "press on it");
    const std::string x_name(x->quantity->name);
    const std::string y_name(y->quantity->name);
    TraceAxes axes{.x = x_name,
                   .y = y_name,
                   .x_dimension = x->quantity->dimension,
                   .y_dimension = y->quantity->dimension,
                   .marks = marks};
    progress.say("following the curve");
    const auto chart =
        ready_chart(*raster, marked->scale,
                    {.anchor = anchor_of(marked->scale, marks),
                     .words = [&](ChartPoint place) { return place_words(axes, place); }});
    if (!chart) return refused("the marks do not make a scale", chart.error());
    axes.cautions = scale_cautions(axes, *marked, *chart);
    auto traced = trace_curve(*chart, seeds);
    if (!traced) return refused("the curve could not be read", traced.error());
    add_shared_errors(*traced, *chart, marks, usual_mark_error);
    NamedTrace named{.name = "1", .number = 1, .curve = std::move(*traced), .points = {}};
    named.points = to_points(named.curve, points_of_a_curve);
    const auto points = measured_points(named.points, x_name, y_name, *settings, 1);
    Json curve = Json::array();
    for (const auto& point : named.curve.points) {
        curve.push_back({{"x", point.pixel.x}, {"y", point.pixel.y}});
    }
    std::string words = trace_text(axes, {named});
    for (const std::string& caution : axes.cautions) words += caution + "\n";
    return Json{{"words", words}, {"curve", curve}, {"points", points_csv(points)}};
}

}  // namespace gapwright
