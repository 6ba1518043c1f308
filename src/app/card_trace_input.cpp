#include "app/card_trace_input.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include "app/card_command.hpp"
#include "app/card_settings.hpp"
#include "card/points.hpp"
#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "source/diagnostics.hpp"
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

// "1.2 V at 310,520" into its value and its place; `example` of the value.
struct MarkText {
    std::string value;
    PixelPoint at = {};
};
Expected<MarkText> mark_text(const std::string& text, std::string_view option,
                             std::string_view example) {
    const auto at = text.rfind(" at ");
    if (at == std::string::npos) {
        return std::unexpected(option_problem(
            Cause::not_a_quantity, fmt::format("{} \"{}\" does not say where", option, text),
            fmt::format("what is printed on the axis, and its pixels: {} \"{} at 310,520\"", option,
                        example)));
    }
    const auto place = pixel_of(trimmed(text.substr(at + 4)), option);
    if (!place) return std::unexpected(place.error());
    return MarkText{.value = trimmed(text.substr(0, at)), .at = *place};
}

Expected<double> value_of(const std::string& value, const PointQuantity& quantity,
                          const std::string& text, std::string_view option) {
    const auto read = parse_quantity(trimmed(value), quantity.dimension);
    if (read) return *read;
    return std::unexpected(option_problem(
        read.error().cause, fmt::format("{} \"{}\": {}", option, text, read.error().message),
        read.error().remedy));
}

Expected<ChartMark> mark_of_axis(const std::string& text, std::string_view option,
                                 const PointQuantity& quantity,
                                 std::optional<double> ChartMark::* axis) {
    const auto read = mark_text(text, option, "1.2 V");
    if (!read) return std::unexpected(read.error());
    const auto value = value_of(read->value, quantity, text, option);
    if (!value) return std::unexpected(value.error());
    ChartMark mark{.at = read->at};
    mark.*axis = *value;
    return mark;
}

// "1 V, 10 mA at 310,520"
Expected<ChartMark> mark_of_both(const std::string& text, const PointQuantity& x,
                                 const PointQuantity& y) {
    constexpr std::string_view option = "--mark";
    const auto read = mark_text(text, option, "1 V, 10 mA");
    if (!read) return std::unexpected(read.error());
    const auto comma = read->value.find(',');
    if (comma == std::string::npos) {
        return std::unexpected(option_problem(
            Cause::not_a_quantity, fmt::format("--mark \"{}\" has one value, not two", text),
            "the values of both axes there: --mark \"1 V, 10 mA at 310,520\"; where only one is "
            "known, --x-mark or --y-mark"));
    }
    const auto of_x = value_of(read->value.substr(0, comma), x, text, option);
    if (!of_x) return std::unexpected(of_x.error());
    const auto of_y = value_of(read->value.substr(comma + 1), y, text, option);
    if (!of_y) return std::unexpected(of_y.error());
    return ChartMark{.at = read->at, .x = *of_x, .y = *of_y};
}

Problems too_few(const std::string& option, std::size_t count) {
    return option_problem(
        Cause::missing_key,
        fmt::format("{0}-mark and --mark are given {1} time{2}, an axis has two marks", option,
                    count, count == 1 ? "" : "s"),
        fmt::format("add {}-mark \"VALUE at X,Y\" for two values printed on it, far apart; of a "
                    "picture taken at an angle give the four corners, --mark \"VALUE, VALUE at "
                    "X,Y\"",
                    option));
}

}  // namespace

Expected<TraceMarks> trace_marks(const CardTraceOptions& options) {
    TraceMarks result{.x = find_point_quantity(options.x), .y = find_point_quantity(options.y)};
    if (!result.x) return std::unexpected(unknown_quantity(options.x, "--x"));
    if (!result.y) return std::unexpected(unknown_quantity(options.y, "--y"));
    const auto add = [&](Expected<ChartMark> mark) -> std::optional<Problems> {
        if (!mark) return mark.error();
        result.marks.push_back(*mark);
        return std::nullopt;
    };
    for (const auto& text : options.x_marks) {
        if (const auto fault = add(mark_of_axis(text, "--x-mark", *result.x, &ChartMark::x))) {
            return std::unexpected(*fault);
        }
    }
    for (const auto& text : options.y_marks) {
        if (const auto fault = add(mark_of_axis(text, "--y-mark", *result.y, &ChartMark::y))) {
            return std::unexpected(*fault);
        }
    }
    for (const auto& text : options.marks) {
        if (const auto fault = add(mark_of_both(text, *result.x, *result.y))) {
            return std::unexpected(*fault);
        }
    }
    if (const auto count = options.x_marks.size() + options.marks.size(); count < 2) {
        return std::unexpected(too_few("--x", count));
    }
    if (const auto count = options.y_marks.size() + options.marks.size(); count < 2) {
        return std::unexpected(too_few("--y", count));
    }
    return result;
}

Expected<CurveInput> curve_input(const std::string& text, std::size_t number) {
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
                    curve.seeds.push_back(*seed);
                }
                from = to + 1;
            }
            first = false;
        } else if (!piece.empty()) {
            const auto stated = stated_quantity(piece, "--curve");
            if (!stated) return std::unexpected(stated.error());
            curve.at[stated->first] = stated->second;
            curve.name = fmt::format("{}, {}", number, piece);
        }
    }
    if (curve.seeds.empty()) {
        return std::unexpected(option_problem(Cause::missing_key,
                                              fmt::format("--curve \"{}\" has no place", text),
                                              "a place on the curve in pixels: --curve 310,220"));
    }
    return curve;
}

}  // namespace gapwright
