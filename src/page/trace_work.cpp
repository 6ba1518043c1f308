#include <fmt/format.h>
#include <cstddef>
#include <expected>
#include <functional>
#include <map>
#include <string>
#include <tuple>
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
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

constexpr int points_of_a_curve = 25;  // as `card trace` takes by default

PixelPoint pixel_in(const Json& object) {
    return {number_in(object, "x", 0), number_in(object, "y", 0)};
}

struct Axis {
    const PointQuantity* quantity = nullptr;
    bool logarithmic = false;
};
Answered<Axis> axis_of(const Json& order, const char* which) {
    const Json stated = order.value(which, Json::object());
    if (!stated.is_object()) return refused(400, "an axis is missing");
    Axis axis{.quantity = find_point_quantity(text_in(stated, "quantity"))};
    if (axis.quantity == nullptr) {
        return refused(422, fmt::format("what runs along the {} axis is not said", which),
                       "choose a quantity for it");
    }
    const auto logarithmic = stated.find("logarithmic");
    axis.logarithmic =
        logarithmic != stated.end() && logarithmic->is_boolean() && logarithmic->get<bool>();
    return axis;
}

Answered<std::vector<ChartMark>> marks_of(const Json& order, const Axis& x, const Axis& y) {
    std::vector<ChartMark> marks;
    for (const Json& stated : order.value("marks", Json::array())) {
        if (!stated.is_object()) return refused(400, "a mark is no object");
        ChartMark mark{.at = pixel_in(stated)};
        for (const auto& [key, axis, value] :
             {std::tuple("x_value", &x, &mark.x), std::tuple("y_value", &y, &mark.y)}) {
            const std::string text = text_in(stated, key);
            if (text.empty()) continue;
            const auto read =
                point_quantity(*axis->quantity, text, fmt::format("mark {}", marks.size() + 1));
            if (!read) return std::unexpected(read.error());
            *value = *read;
        }
        marks.push_back(mark);
    }
    return marks;
}

struct OrderedCurve {
    std::vector<PixelPoint> seeds = {};
    std::map<std::string, double, std::less<>> settings = {};
};

// With what was measured alike for all of them.
Answered<std::vector<OrderedCurve>> curves_of(const Json& order) {
    const auto common = point_settings(order);
    if (!common) return std::unexpected(common.error());
    std::vector<OrderedCurve> curves;
    for (const Json& stated : order.value("curves", Json::array())) {
        if (!stated.is_object()) return refused(400, "a curve is no object");
        OrderedCurve curve;
        for (const Json& seed : stated.value("seeds", Json::array())) {
            if (seed.is_object()) curve.seeds.push_back(pixel_in(seed));
        }
        if (curve.seeds.empty()) {
            return refused(422, fmt::format("curve {} has no place", curves.size() + 1),
                           "press on it");
        }
        auto own = point_settings(stated);
        if (!own) return std::unexpected(own.error());
        curve.settings = std::move(*own);
        curve.settings.insert(common->begin(), common->end());
        curves.push_back(std::move(curve));
    }
    if (curves.empty()) return refused(422, "no place on a curve is marked", "press on one");
    return curves;
}

Json pixels(const std::vector<TracedPoint>& points) {
    Json list = Json::array();
    for (const TracedPoint& point : points) {
        list.push_back({{"x", point.pixel.x}, {"y", point.pixel.y}});
    }
    return list;
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
    const auto put = marks_of(trace, *x, *y);
    if (!put) return std::unexpected(put.error());
    const auto curves = curves_of(trace);
    if (!curves) return std::unexpected(curves.error());
    TraceAxes axes{.x = std::string(x->quantity->name),
                   .y = std::string(y->quantity->name),
                   .x_dimension = x->quantity->dimension,
                   .y_dimension = y->quantity->dimension};
    const auto marked =
        taken_marks(*raster, *put, {.x = x->logarithmic, .y = y->logarithmic}, axes);
    if (!marked) return refused("the marks do not make a scale", marked.error());
    progress.say("looking at the grid");
    const auto chart =
        ready_chart(*raster, marked->scale,
                    {.anchor = anchor_of(marked->scale, axes.marks),
                     .words = [&](ChartPoint place) { return place_words(axes, place); }});
    if (!chart) return refused("the marks do not make a scale", chart.error());
    axes.cautions = scale_cautions(axes, *marked, *chart);
    std::vector<NamedTrace> traces;
    std::vector<MeasuredPoint> points;
    Json views = Json::array();
    for (std::size_t k = 0; k < curves->size() && !progress.stop().stop_requested(); ++k) {
        const int number = static_cast<int>(k) + 1;
        progress.say(fmt::format("following curve {} of {}", number, curves->size()),
                     static_cast<double>(k) / static_cast<double>(curves->size()));
        const OrderedCurve& curve = (*curves)[k];
        auto traced = trace_curve(*chart, curve.seeds, progress.stop());
        if (!traced) {
            const Diagnostic& why = traced.error().front();
            views.push_back({{"number", number},
                             {"refusal", why.message},
                             {"remedy", why.remedy},
                             {"points", Json::array()}});
            continue;
        }
        add_shared_errors(*traced, *chart, axes.marks, usual_mark_error);
        if (auto caution = stretch_caution(*chart, *traced, number)) {
            axes.cautions.push_back(std::move(*caution));
        }
        NamedTrace named{.name = fmt::format("{}", number),
                         .number = number,
                         .curve = std::move(*traced),
                         .points = {}};
        named.points = to_points(named.curve, points_of_a_curve);
        const auto measured = measured_points(named.points, axes.x, axes.y, curve.settings, number);
        points.insert(points.end(), measured.begin(), measured.end());
        views.push_back({{"number", number},
                         {"refusal", ""},
                         {"remedy", ""},
                         {"points", pixels(named.curve.points)}});
        traces.push_back(std::move(named));
    }
    Json marks = Json::array();
    for (const ChartMark& mark : axes.marks) marks.push_back({{"x", mark.at.x}, {"y", mark.at.y}});
    return Json{{"words", traces.empty() ? "" : trace_text(axes, traces)},
                {"notes", axes.notes},
                {"cautions", axes.cautions},
                {"marks", marks},
                {"curves", views},
                {"points", points.empty() ? "" : points_csv(points)}};
}

}  // namespace gapwright
