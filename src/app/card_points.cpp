#include "app/card_points.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <ctime>
#include <expected>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "app/card_settings.hpp"
#include "app/terminal.hpp"
#include "card/points.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

constexpr std::string_view card_ending = ".card.toml";

}  // namespace

Expected<std::vector<MeasuredPoint>> read_point_files(const std::vector<std::string>& files) {
    std::vector<MeasuredPoint> points;
    for (const auto& file : files) {
        const auto text = read_file(file);
        if (!text) return std::unexpected(text.error());
        const auto table = read_points_csv(*text);
        if (!table) return std::unexpected(table.error());
        if (!table->skipped.empty()) {
            tell_text(to_text(table->skipped));
            tell("gapwright: {} row{} of the points skipped\n", table->skipped.size(),
                 table->skipped.size() == 1 ? "" : "s");
        }
        if (!table->ignored.empty()) {
            tell("gapwright: columns of {} that are no quantities of points are passed over: {}\n",
                 file, fmt::format("{}", fmt::join(table->ignored, ", ")));
        }
        points.insert(points.end(), table->points.begin(), table->points.end());
    }
    return points;
}

std::optional<Problems> apply_at(const std::vector<std::string>& at,
                                 std::vector<MeasuredPoint>& points) {
    for (const auto& text : at) {
        const auto stated = stated_quantity(text, "--at");
        if (!stated) return stated.error();
        for (auto& point : points) point.values.emplace(stated->first, stated->second);
    }
    return std::nullopt;
}

std::string source_of_points(const std::vector<std::string>& files,
                             const std::vector<MeasuredPoint>& points) {
    const std::time_t now = std::time(nullptr);
    const std::string origins = origins_of(points);
    return fmt::format("fitted to {} point{} of {}{}, {:%Y-%m-%d}", points.size(),
                       points.size() == 1 ? "" : "s",
                       std::filesystem::path(files.front()).filename().string(),
                       origins.empty() ? "" : fmt::format(" ({})", origins), fmt::localtime(now));
}

std::string card_name_of(const std::string& output) {
    if (output == "-") return "unnamed";
    std::string name = std::filesystem::path(output).filename().string();
    if (name.ends_with(card_ending)) name.resize(name.size() - card_ending.size());
    return name;
}

std::optional<Problems> refuse_card_name(const std::string& output) {
    if (output.ends_with(card_ending)) return std::nullopt;
    return option_problem(Cause::contradiction,
                          fmt::format("{} does not end with .card.toml", output),
                          "links find cards by that ending: -o my-led.card.toml");
}

}  // namespace gapwright
