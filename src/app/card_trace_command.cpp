// `gapwright card trace`.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <expected>
#include <functional>
#include <map>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include "app/card_command.hpp"
#include "app/card_settings.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "card/points.hpp"
#include "chart/axis_scale.hpp"
#include "chart/raster.hpp"
#include "chart/trace_curve.hpp"
#include "folder/output_file.hpp"
#include "report/pictures/picture_file.hpp"
#include "report/text/trace_report.hpp"
#include "report/text/traced_points.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// "310,220"
std::optional<PixelPoint> pixel(std::string_view text) {
    const auto comma = text.find(',');
    if (comma == std::string_view::npos) return std::nullopt;
    PixelPoint point;
    for (const auto& [part, where] : {std::pair{text.substr(0, comma), &point.x},
                                      std::pair{text.substr(comma + 1), &point.y}}) {
        const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), *where);
        if (error != std::errc() || end != part.data() + part.size()) return std::nullopt;
    }
    return point;
}

Expected<PixelPoint> pixel_of(const std::string& text, std::string_view option) {
    if (const auto point = pixel(text)) return *point;
    return std::unexpected(option_problem(
        Cause::not_a_quantity, fmt::format("{} \"{}\": no place in a picture", option, text),
        "two numbers of pixels, from the left and from the top: 310,220"));
}

// "1.2 V at 310,520"
Expected<AxisMark> mark_of(const std::string& text, std::string_view option, Dimension dimension) {
    const auto at = text.rfind(" at ");
    if (at == std::string::npos) {
        return std::unexpected(option_problem(
            Cause::not_a_quantity, fmt::format("{} \"{}\" does not say where", option, text),
            fmt::format("a value printed on the axis, and its pixels: {} \"1.2 V at 310,520\"",
                        option)));
    }
    const auto value = parse_quantity(trimmed(text.substr(0, at)), dimension);
    if (!value) {
        return std::unexpected(option_problem(
            value.error().cause, fmt::format("{} \"{}\": {}", option, text, value.error().message),
            value.error().remedy));
    }
    const auto place = pixel_of(trimmed(text.substr(at + 4)), option);
    if (!place) return std::unexpected(place.error());
    return AxisMark{.at = *place, .value = *value};
}

struct AxisInput {
    const PointQuantity* quantity = nullptr;
    AxisScale scale;
};

Expected<AxisInput> axis_of(const std::string& name, const std::vector<std::string>& marks,
                            bool logarithmic, const std::string& option) {
    AxisInput axis{.quantity = find_point_quantity(name), .scale = {}};
    if (!axis.quantity) return std::unexpected(unknown_quantity(name, option));
    if (marks.size() != 2) {
        return std::unexpected(option_problem(
            Cause::missing_key,
            fmt::format("{}-mark is given {} time{}, an axis has two marks", option, marks.size(),
                        marks.size() == 1 ? "" : "s"),
            fmt::format("add {}-mark \"VALUE at X,Y\" for two values printed on it, far apart",
                        option)));
    }
    axis.scale.logarithmic = logarithmic;
    for (const auto& [text, mark] :
         {std::pair{&marks[0], &axis.scale.first}, std::pair{&marks[1], &axis.scale.second}}) {
        const auto read = mark_of(*text, option + "-mark", axis.quantity->dimension);
        if (!read) return std::unexpected(read.error());
        *mark = *read;
    }
    return axis;
}

// A curve as its option says: seeds, and what it was measured at.
struct CurveInput {
    std::string name;
    TraceRequest request;
    std::map<std::string, double, std::less<>> at;
};

Expected<CurveInput> curve_of(const std::string& text, std::size_t number) {
    CurveInput curve;
    curve.name = fmt::format("{}", number);
    std::size_t begin = 0;
    bool first = true;
    while (begin <= text.size()) {
        const auto end = std::min(text.find(';', begin), text.size());
        const std::string piece = trimmed(text.substr(begin, end - begin));
        begin = end + 1;
        if (first) {
            std::size_t from = 0;
            while (from < piece.size()) {
                const auto to = std::min(piece.find(' ', from), piece.size());
                if (to > from) {
                    const auto seed = pixel_of(piece.substr(from, to - from), "--curve");
                    if (!seed) return std::unexpected(seed.error());
                    curve.request.seeds.push_back(*seed);
                }
                from = to + 1;
            }
            first = false;
        } else if (!piece.empty()) {
            const auto stated = stated_quantity(piece, "--curve");
            if (!stated) return std::unexpected(stated.error());
            curve.at[stated->first] = stated->second;
            curve.name = piece;
        }
    }
    if (curve.request.seeds.empty()) {
        return std::unexpected(option_problem(Cause::missing_key,
                                              fmt::format("--curve \"{}\" has no place", text),
                                              "a place on the curve in pixels: --curve 310,220"));
    }
    return curve;
}

// Marks a decade and more apart, none of them zero, are usual on logarithmic axes only.
void ask_about_log(const AxisInput& axis, std::string_view option) {
    constexpr double decade = 9.9;
    const double low = std::min(axis.scale.first.value, axis.scale.second.value);
    const double high = std::max(axis.scale.first.value, axis.scale.second.value);
    const bool temperature = axis.quantity->dimension == Dimension::temperature;
    if (axis.scale.logarithmic || temperature || low <= 0 || high < decade * low) return;
    tell(
        "gapwright: the {0} axis is read as linear between its marks; is it logarithmic? "
        "Then add {1}-log\n",
        axis.quantity->words, option);
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

}  // namespace

ExitStatus run_card_trace(const CardTraceOptions& options, const std::stop_token& stop) {
    const auto bytes = read_bytes(options.image, largest_picture_file);
    if (!bytes) return refuse(bytes.error(), options.json);
    const auto raster = decode_raster(*bytes, options.image);
    if (!raster) return refuse(raster.error(), options.json);
    const auto x = axis_of(options.x, options.x_marks, options.x_log, "--x");
    if (!x) return refuse(x.error(), options.json);
    const auto y = axis_of(options.y, options.y_marks, options.y_log, "--y");
    if (!y) return refuse(y.error(), options.json);
    const auto scale = ChartScale::make(x->scale, y->scale);
    if (!scale) return refuse(scale.error(), options.json);
    const Outputs outputs{.files = {{"-o", options.output}, {"--overlay", options.overlay}},
                          .folders = {},
                          .replace = options.replace,
                          .json = options.json};
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    ask_about_log(*x, "--x");
    ask_about_log(*y, "--y");
    std::map<std::string, double, std::less<>> at;
    for (const auto& text : options.at) {
        const auto stated = stated_quantity(text, "--at");
        if (!stated) return refuse(stated.error(), options.json);
        at[stated->first] = stated->second;
    }
    std::vector<CurveInput> curves;
    for (const auto& text : options.curves) {
        auto curve = curve_of(text, curves.size() + 1);
        if (!curve) return refuse(curve.error(), options.json);
        curves.push_back(std::move(*curve));
    }
    std::vector<NamedTrace> traces;
    std::vector<MeasuredPoint> points;
    Problems failed;
    for (const auto& curve : curves) {
        if (stop.stop_requested()) return fail("stopped", options.json);
        auto traced = trace_curve(*raster, *scale, curve.request);
        if (!traced) {
            for (auto problem : traced.error()) {
                problem.message = fmt::format("curve {}: {}", curve.name, problem.message);
                failed.push_back(std::move(problem));
            }
            continue;
        }
        NamedTrace trace{curve.name, std::move(*traced), {}};
        trace.points = to_points(trace.curve, options.points);
        auto settings = curve.at;
        settings.insert(at.begin(), at.end());
        const auto measured = measured_points(trace.points, options.x, options.y, settings);
        points.insert(points.end(), measured.begin(), measured.end());
        traces.push_back(std::move(trace));
    }
    if (!failed.empty()) {
        refuse(failed, options.json);
        tell("gapwright: {} of {} curves could not be read; nothing was written\n",
             curves.size() - traces.size(), curves.size());
        return exit_failed;
    }
    const TraceAxes axes{.x = options.x,
                         .y = options.y,
                         .x_dimension = x->quantity->dimension,
                         .y_dimension = y->quantity->dimension,
                         .x_scale = x->scale,
                         .y_scale = y->scale};
    const std::string text = options.json ? trace_json(axes, traces) : trace_text(axes, traces);
    if (!write_answer(text, outputs)) return exit_failed;
    std::vector<OutputFile> files;
    add_file(files, options.output, points_csv(points));
    if (!options.overlay.empty() &&
        !add_overlay(files, options.overlay, trace_overlay(*raster, *bytes, axes, traces))) {
        return exit_failed;
    }
    if (const auto unwritten = write_files(files, outputs, stop)) return *unwritten;
    if (!options.output.empty() && options.output != "-") {
        tell("gapwright: {} points are written to {}\n", points.size(), options.output);
    }
    return exit_kept;
}

}  // namespace gapwright
