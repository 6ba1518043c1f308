#include "card/points.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include "device/constants.hpp"
#include "source/csv_document.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/typed_quantity.hpp"

namespace gapwright {
namespace {

using D = Dimension;

constexpr auto quantities = std::to_array<PointQuantity>({
    {"forward_current", D::current, "forward current"},
    {"forward_voltage", D::voltage, "forward voltage"},
    {"irradiance", D::irradiance, "irradiance"},
    {"illuminance", D::illuminance, "illuminance"},
    {"supply_voltage", D::voltage, "supply voltage"},
    {"load_resistance", D::resistance, "load resistance"},
    {"collector_emitter_voltage", D::voltage, "collector–emitter voltage"},
    {"collector_current", D::current, "collector current"},
    {"ctr", D::ratio, "current transfer ratio"},
    {"relative_ctr", D::ratio, "current transfer ratio, normalised"},
    {"reference_current", D::current, "forward current at which the normalised ratio is 100 %"},
    {"dark_current", D::current, "dark current"},
    {"resistance", D::resistance, "resistance"},
    {"rise_time", D::time, "rise time"},
    {"fall_time", D::time, "fall time"},
    {"receiver_voltage", D::voltage, "voltage across the receiver"},
    {"distance", D::length, "distance between emitter and receiver"},
    {"temperature", D::temperature, "temperature"},
    {"base_current", D::current, "base current"},
    {"reverse_current", D::current, "reverse current"},
    {"reverse_voltage", D::voltage, "reverse voltage"},
});

constexpr std::string_view specimen_column = "specimen";
constexpr std::string_view uncertainty_column = "uncertainty";
constexpr std::string_view shared_column = "shared_uncertainty";
constexpr std::string_view curve_column = "curve";
constexpr std::string_view origin_column = "origin";

std::vector<std::string> column_names() {
    std::vector<std::string> names;
    for (const auto& quantity : quantities) names.emplace_back(quantity.name);
    names.emplace_back(specimen_column);
    names.emplace_back(uncertainty_column);
    names.emplace_back(shared_column);
    names.emplace_back(curve_column);
    names.emplace_back(origin_column);
    return names;
}

Diagnostic problem_at(const Place& place, Cause cause, std::string message, std::string remedy) {
    return {
        .cause = cause, .place = place, .message = std::move(message), .remedy = std::move(remedy)};
}

// A column of a CSV file: what it holds, and the unit of plain numbers in it.
struct Column {
    std::string name;
    std::string unit;
    bool passed_over = false;
};

Expected<Column> read_header(const CsvField& field) {
    Column column{.name = field.text, .unit = {}};
    const auto open = column.name.find('(');
    if (open != std::string::npos && column.name.ends_with(')')) {
        column.unit = column.name.substr(open + 1, column.name.size() - open - 2);
        column.name.resize(open);
        while (column.name.ends_with(' ')) column.name.pop_back();
    }
    const auto names = column_names();
    const bool known = std::ranges::find(names, column.name) != names.end();
    column.passed_over =
        column.name.starts_with("note") || (!known && nearest_name(column.name, names).empty());
    if (column.passed_over) return column;
    if (!known) {
        return std::unexpected(only(
            problem_at(field.place, Cause::unknown_key,
                       fmt::format("points have no column \"{}\"{}", column.name,
                                   did_you_mean(column.name, names)),
                       fmt::format("columns are {}; put the unit in brackets: forward_current (mA)",
                                   fmt::join(names, ", ")))));
    }
    if (const auto* quantity = find_point_quantity(column.name); quantity && !column.unit.empty()) {
        if (const auto one = parse_quantity("1 " + column.unit, quantity->dimension); !one) {
            const auto written = rewrite_quantity(
                "1 " + column.unit,
                {.dimension = quantity->dimension, .form = WantedQuantity::Form::value});
            return std::unexpected(only(problem_at(
                field.place, one.error().cause,
                fmt::format("{} ({})", one.error().message, column.unit),
                written ? fmt::format("write {} ({})", column.name, written->text.substr(2))
                        : one.error().remedy)));
        }
    }
    return column;
}

// Which decimal sign a cell has: spreadsheets write commas where they separate by semicolons.
std::string with_points(std::string text, char separator) {
    if (separator != ',') std::ranges::replace(text, ',', '.');
    return text;
}

bool is_plain_number(std::string_view text) {
    return !text.empty() && text.find_first_not_of("0123456789+-.eE−") == std::string_view::npos;
}

Diagnostic text_problem(const TextError& error, const Place& place) {
    return problem_at(place, error.cause, error.message, error.remedy);
}

// Takes one cell into a point; a problem where it cannot. `separator`: that of the file's cells.
std::optional<Diagnostic> take(MeasuredPoint& point, const Column& column, const std::string& cell,
                               char separator, const Place& place) {
    if (cell.empty() || column.passed_over) return std::nullopt;
    if (column.name == origin_column) {
        point.origin = cell;
        return std::nullopt;
    }
    if (column.name == specimen_column) {
        point.specimen = cell;
        return std::nullopt;
    }
    const std::string text = with_points(cell, separator);
    if (column.name == curve_column) {
        constexpr int most_curves = 9999;
        const auto [end, error] =
            std::from_chars(text.data(), text.data() + text.size(), point.curve);
        if (error == std::errc() && end == text.data() + text.size() && point.curve >= 1 &&
            point.curve <= most_curves) {
            return std::nullopt;
        }
        return problem_at(place, Cause::out_of_range,
                          fmt::format("a curve is a whole number from 1 to {}", most_curves),
                          "number the curves of a chart 1, 2, 3 …");
    }
    const bool is_shared = column.name == shared_column;
    const bool is_uncertainty = is_shared || column.name == uncertainty_column;
    const Dimension dimension =
        is_uncertainty ? Dimension::ratio : find_point_quantity(column.name)->dimension;
    const std::string stated =
        is_plain_number(text) && !column.unit.empty() ? text + " " + column.unit : text;
    const auto value = parse_quantity(stated, dimension);
    if (!value) return text_problem(value.error(), place);
    if (is_uncertainty) {
        if (!(*value > 0) || *value > 1) {
            return problem_at(place, Cause::out_of_range,
                              "an uncertainty is a share of the measured value, above 0 and up to "
                              "100 %",
                              "write for example 2 %");
        }
        (is_shared ? point.shared_uncertainty : point.uncertainty) = *value;
    } else {
        point.values[column.name] = *value;
    }
    return std::nullopt;
}

// What a number of a column reads as, in the unit that its header gives.
struct ColumnUnit {
    std::string_view unit;
    double scale;  // inner units in one of these
};
ColumnUnit unit_of(const PointQuantity& quantity) {
    switch (quantity.dimension) {
        case D::current:
            return {"mA", 1e-3};
        case D::time:
            return {"µs", 1e-6};
        case D::temperature:
            return {"°C", 1};
        case D::ratio:
            return {"%", 0.01};
        case D::voltage:
        case D::resistance:
        case D::power:
        case D::capacitance:
        case D::inductance:
        case D::frequency:
        case D::signalling_rate:
        case D::illuminance:
        case D::irradiance:
        case D::luminous_intensity:
        case D::radiant_intensity:
        case D::length:
        case D::angle:
        case D::energy:
        case D::per_temperature:
        case D::per_voltage:
        case D::transconductance:
        case D::voltage_per_temperature:
        case D::voltage_rate:
            break;
    }
    return {dimension_unit(quantity.dimension), 1};
}

std::string number(double value, const PointQuantity& quantity) {
    if (quantity.dimension == D::temperature) return fmt::format("{:.7g}", value - zero_celsius);
    return fmt::format("{:.7g}", value / unit_of(quantity).scale);
}

// A text of a card, without what would end it.
void add_text(std::string& into, std::string_view key, std::string text) {
    if (text.empty()) return;
    std::erase_if(text, [](char c) {
        return c == '"' || c == '\\' || static_cast<unsigned char>(c) < ' ' || c == 0x7f;
    });
    into += fmt::format("{} = \"{}\"\n", key, text);
}

bool any_has(const std::vector<MeasuredPoint>& points, std::string_view quantity) {
    return std::ranges::any_of(points, [&](const MeasuredPoint& p) { return p.find(quantity); });
}

}  // namespace

std::span<const PointQuantity> point_quantities() {
    return quantities;
}

const PointQuantity* find_point_quantity(std::string_view name) {
    const auto found = std::ranges::find(quantities, name, &PointQuantity::name);
    return found == quantities.end() ? nullptr : &*found;
}

const double* MeasuredPoint::find(std::string_view quantity) const {
    const auto found = values.find(quantity);
    return found == values.end() ? nullptr : &found->second;
}

Expected<PointTable> read_points_csv(std::shared_ptr<const SourceText> text) {
    const char separator = csv_separator(*text);
    const auto document =
        read_csv(std::move(text), {.separator = separator, .spaces_count = false});
    if (!document) return std::unexpected(document.error());
    std::vector<Column> columns;
    Problems problems;
    for (const auto& field : document->header.fields) {
        auto column = read_header(field);
        if (!column) {
            problems.insert(problems.end(), column.error().begin(), column.error().end());
            continue;
        }
        columns.push_back(std::move(*column));
    }
    PointTable table;
    for (const auto& column : columns) {
        if (!column.passed_over || column.name.starts_with("note")) continue;
        table.ignored.push_back(column.name);
    }
    const bool any = std::ranges::any_of(
        columns, [](const Column& column) { return find_point_quantity(column.name) != nullptr; });
    if (problems.empty() && !any) {
        problems.push_back(problem_at(
            document->header.place, Cause::unknown_key, "no column of this header is a quantity",
            fmt::format("columns are {}; put the unit in brackets: forward_current (mA)",
                        fmt::join(column_names(), ", "))));
    }
    if (!problems.empty()) return std::unexpected(std::move(problems));
    table.skipped = document->skipped;
    for (const auto& record : document->records) {
        MeasuredPoint point;
        point.place = record.place;
        std::optional<Diagnostic> fault;
        for (std::size_t k = 0; k < columns.size() && !fault; ++k) {
            const auto& field = record.fields[k];
            fault = take(point, columns[k], field.text, separator, field.place);
        }
        if (!fault && point.values.empty()) {
            fault = problem_at(record.place, Cause::missing_key, "this row states no quantity",
                               "fill its cells, or leave the row out");
        }
        if (fault) {
            table.skipped.push_back(std::move(*fault));
        } else {
            table.points.push_back(std::move(point));
        }
    }
    return table;
}

std::vector<MeasuredPoint> read_points(const TomlTable& card, Problems& problems) {
    std::vector<MeasuredPoint> points;
    const auto* entry = card.find("points");
    if (!entry) return points;
    const auto* list = entry->value.array();
    if (!list) {
        problems.push_back(problem_at(entry->value.place, Cause::wrong_type,
                                      "points are a list of tables",
                                      "write each as [[points]] with its quantities beneath"));
        return points;
    }
    const auto names = column_names();
    for (const auto& value : *list) {
        const auto* table = value.table();
        if (!table) {
            problems.push_back(problem_at(value.place, Cause::wrong_type,
                                          "a point is a table of quantities", "write [[points]]"));
            continue;
        }
        MeasuredPoint point;
        point.place = value.place;
        for (const auto& inner : table->entries) {
            const auto* text = inner.value.text();
            if (std::ranges::find(names, inner.key) == names.end()) {
                problems.push_back(
                    problem_at(inner.key_place, Cause::unknown_key,
                               fmt::format("points have no quantity \"{}\"{}", inner.key,
                                           did_you_mean(inner.key, names)),
                               fmt::format("they are {}", fmt::join(names, ", "))));
            } else if (!text) {
                problems.push_back(problem_at(
                    inner.value.place, Cause::wrong_type,
                    fmt::format("a point's quantity is a text, found {}", inner.value.type_name()),
                    "write it with its unit, \"20 mA\""));
            } else if (auto fault = take(point, {inner.key, {}}, *text, ',', inner.value.place)) {
                problems.push_back(std::move(*fault));
            }
        }
        points.push_back(std::move(point));
    }
    return points;
}

std::string points_csv(const std::vector<MeasuredPoint>& points) {
    std::vector<const PointQuantity*> columns;
    std::vector<std::string> header;
    for (const auto& quantity : quantities) {
        if (!any_has(points, quantity.name)) continue;
        columns.push_back(&quantity);
        header.push_back(fmt::format("{} ({})", quantity.name, unit_of(quantity).unit));
    }
    const bool uncertain = std::ranges::any_of(
        points, [](const MeasuredPoint& p) { return p.uncertainty.has_value(); });
    const bool several =
        std::ranges::any_of(points, [](const MeasuredPoint& p) { return !p.specimen.empty(); });
    const bool shared = std::ranges::any_of(
        points, [](const MeasuredPoint& p) { return p.shared_uncertainty.has_value(); });
    const bool curves =
        std::ranges::any_of(points, [](const MeasuredPoint& p) { return p.curve > 0; });
    const bool told =
        std::ranges::any_of(points, [](const MeasuredPoint& p) { return !p.origin.empty(); });
    if (uncertain) header.push_back(fmt::format("{} (%)", uncertainty_column));
    if (shared) header.push_back(fmt::format("{} (%)", shared_column));
    if (curves) header.emplace_back(curve_column);
    if (several) header.emplace_back(specimen_column);
    if (told) header.emplace_back(origin_column);
    std::string text = csv_line(header);
    for (const auto& point : points) {
        std::vector<std::string> fields;
        for (const auto* quantity : columns) {
            const double* value = point.find(quantity->name);
            fields.push_back(value ? number(*value, *quantity) : "");
        }
        const auto percent = [](const std::optional<double>& share) {
            return share ? fmt::format("{:.3g}", *share * 100) : std::string();
        };
        if (uncertain) fields.push_back(percent(point.uncertainty));
        if (shared) fields.push_back(percent(point.shared_uncertainty));
        if (curves) fields.push_back(point.curve > 0 ? fmt::format("{}", point.curve) : "");
        if (several) fields.push_back(point.specimen);
        if (told) fields.push_back(point.origin);
        text += csv_line(fields);
    }
    return text;
}

std::string origins_of(const std::vector<MeasuredPoint>& points) {
    std::set<std::string> origins;
    for (const auto& point : points) {
        if (!point.origin.empty()) origins.insert(point.origin);
    }
    return fmt::format("{}", fmt::join(origins, "; "));
}

std::string points_toml(const std::vector<MeasuredPoint>& points) {
    std::string text;
    for (const auto& point : points) {
        text += "[[points]]\n";
        for (const auto& quantity : quantities) {
            if (const double* value = point.find(quantity.name)) {
                text += fmt::format("{} = \"{} {}\"\n", quantity.name, number(*value, quantity),
                                    unit_of(quantity).unit);
            }
        }
        for (const auto& [name, share] : {std::pair{uncertainty_column, point.uncertainty},
                                          std::pair{shared_column, point.shared_uncertainty}}) {
            if (share) text += fmt::format("{} = \"{:.3g} %\"\n", name, *share * 100);
        }
        if (point.curve > 0) text += fmt::format("{} = \"{}\"\n", curve_column, point.curve);
        add_text(text, specimen_column, point.specimen);
        add_text(text, origin_column, point.origin);
    }
    return text;
}

}  // namespace gapwright
