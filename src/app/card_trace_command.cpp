// `gapwright card trace`.
#include <fmt/format.h>

#include <cstddef>
#include <expected>
#include <functional>
#include <map>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "app/card_command.hpp"
#include "app/card_settings.hpp"
#include "app/card_trace_input.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "card/points.hpp"
#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/raster.hpp"
#include "chart/ready_chart.hpp"
#include "chart/shared_errors.hpp"
#include "chart/trace_curve.hpp"
#include "folder/output_file.hpp"
#include "report/pictures/picture_file.hpp"
#include "report/text/trace_report.hpp"
#include "report/text/traced_points.hpp"
#include "report/words/trace_words.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

// Marks a decade and more apart, none of them zero, are usual on logarithmic axes only.
void ask_about_log(const PointQuantity& quantity, const ScaleRange& range,
                   std::string_view option) {
    constexpr double decade = 9.9;
    const bool temperature = quantity.dimension == Dimension::temperature;
    if (range.logarithmic || temperature || range.first <= 0 ||
        range.second < decade * range.first) {
        return;
    }
    tell(
        "gapwright: the {0} axis is read as linear between its marks; is it logarithmic? "
        "Then add {1}-log\n",
        quantity.words, option);
}

// False, told, where it could not be drawn.
bool add_overlay(std::vector<OutputFile>& files, const std::string& path, std::string svg) {
    if (!path.ends_with(".png")) {
        add_file(files, path, std::move(svg));
        return true;
    }
    auto png = png_of(svg);
    if (png) {
        add_file(files, path, std::move(*png));
    } else {
        tell("gapwright: {}: {}\n", path, png.error());
    }
    return png.has_value();
}

// Everything that the options state, read.
struct TraceOrder {
    TraceMarks marks;
    std::map<std::string, double, std::less<>> at = {};  // of all curves
    std::vector<CurveInput> curves = {};
};

Expected<TraceOrder> order_of(const CardTraceOptions& options) {
    auto marks = trace_marks(options);
    if (!marks) return std::unexpected(marks.error());
    TraceOrder order{.marks = std::move(*marks)};
    for (const auto& text : options.at) {
        const auto stated = stated_quantity(text, "--at");
        if (!stated) return std::unexpected(stated.error());
        order.at[stated->first] = stated->second;
    }
    for (const auto& text : options.curves) {
        auto curve = curve_input(text, order.curves.size() + 1);
        if (!curve) return std::unexpected(curve.error());
        order.curves.push_back(std::move(*curve));
    }
    return order;
}

// Each curve stands for itself: what was read, and what was not with its reason.
struct TraceResult {
    std::vector<NamedTrace> traces = {};
    std::vector<MeasuredPoint> points = {};
    std::vector<FailedTrace> failed = {};
};

TraceResult read_curves(const ReadyChart& chart, const TraceOrder& order,
                        const std::vector<ChartMark>& marks, const CardTraceOptions& options,
                        const std::stop_token& stop) {
    TraceResult result;
    ProgressLine progress;
    for (std::size_t k = 0; k < order.curves.size() && !stop.stop_requested(); ++k) {
        const CurveInput& curve = order.curves[k];
        const int number = static_cast<int>(k) + 1;
        progress.show(fmt::format("following curve {} of {}", number, order.curves.size()));
        auto traced = trace_curve(chart, curve.seeds, stop);
        if (!traced) {
            result.failed.push_back(
                {.name = curve.name, .number = number, .problem = traced.error().front()});
            continue;
        }
        add_shared_errors(*traced, chart, marks, options.mark_error);
        NamedTrace trace{
            .name = curve.name, .number = number, .curve = std::move(*traced), .points = {}};
        trace.points = to_points(trace.curve, options.points);
        auto settings = curve.at;
        settings.insert(order.at.begin(), order.at.end());
        const auto measured = measured_points(trace.points, options.x, options.y, settings, number);
        result.points.insert(result.points.end(), measured.begin(), measured.end());
        result.traces.push_back(std::move(trace));
    }
    return result;
}

Problems problems_of(const std::vector<FailedTrace>& failed) {
    Problems problems;
    for (const FailedTrace& one : failed) {
        problems.push_back(one.problem);
        problems.back().message = fmt::format("curve {}: {}", one.name, one.problem.message);
    }
    return problems;
}

}  // namespace

ExitStatus run_card_trace(const CardTraceOptions& options, const std::stop_token& stop) {
    const auto bytes = read_bytes(options.image, largest_picture_file);
    if (!bytes) return refuse(bytes.error(), options.json);
    const auto raster = decode_raster(*bytes, options.image);
    if (!raster) return refuse(raster.error(), options.json);
    const auto order = order_of(options);
    if (!order) return refuse(order.error(), options.json);
    TraceAxes axes{.x = options.x,
                   .y = options.y,
                   .x_dimension = order->marks.x->dimension,
                   .y_dimension = order->marks.y->dimension,
                   .at_terminal = true};
    const LogAxes log{.x = options.x_log, .y = options.y_log};
    axes.marks = order->marks.marks;
    const auto marked = options.as_marked ? scale_of_marks(axes.marks, log)
                                          : taken_marks(*raster, order->marks.marks, log, axes);
    if (!marked) return refuse(marked.error(), options.json);
    const Outputs outputs{.files = {{"-o", options.output}, {"--overlay", options.overlay}},
                          .folders = {},
                          .replace = options.replace,
                          .json = options.json};
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    ask_about_log(*order->marks.x, marked->scale.x_range(), "--x");
    ask_about_log(*order->marks.y, marked->scale.y_range(), "--y");
    const auto chart =
        ready_chart(*raster, marked->scale,
                    {.anchor = anchor_of(marked->scale, axes.marks),
                     .words = [&](ChartPoint place) { return place_words(axes, place); }});
    if (!chart) return refuse(chart.error(), options.json);
    axes.cautions = scale_cautions(axes, *marked, *chart);
    for (const auto* list : {&axes.notes, &axes.cautions}) {
        for (const std::string& line : *list) tell("gapwright: {}\n", line);
    }

    const TraceResult read = read_curves(*chart, *order, axes.marks, options, stop);
    if (stop.stop_requested()) return fail("stopped", options.json);
    if (read.traces.empty()) {
        refuse(problems_of(read.failed), options.json);
        tell("gapwright: no curve could be read; nothing was written\n");
        return exit_failed;
    }
    if (!read.failed.empty()) refuse(problems_of(read.failed), false);
    for (const NamedTrace& trace : read.traces) {
        const auto caution = stretch_caution(*chart, trace.curve, trace.number);
        if (!caution) continue;
        tell("gapwright: {}\n", *caution);
        axes.cautions.push_back(*caution);
    }
    const std::string text =
        options.json ? trace_json(axes, read.traces, read.failed) : trace_text(axes, read.traces);
    if (!write_answer(text, outputs)) return exit_failed;
    std::vector<OutputFile> files;
    add_file(files, options.output, points_csv(read.points));
    if (!options.overlay.empty() &&
        !add_overlay(files, options.overlay, trace_overlay(*raster, *bytes, axes, read.traces))) {
        return exit_failed;
    }
    if (const auto unwritten = write_files(files, outputs, stop)) return *unwritten;
    if (!options.output.empty() && options.output != "-") {
        tell("gapwright: {} points are written to {}\n", read.points.size(), options.output);
    }
    if (read.failed.empty()) return exit_kept;
    tell("gapwright: {} of {} curves could not be read; the others were\n", read.failed.size(),
         order->curves.size());
    return exit_failed;
}

}  // namespace gapwright
