#include "chart/raster.hpp"

#include <fmt/format.h>
#include <cstdint>
#include <expected>
#include <optional>
#include <string_view>
#include <utility>

#include "chart/raster_formats.hpp"
#include "source/diagnostics.hpp"
#include "source/text_check.hpp"
#include "source/toml_document.hpp"

namespace gapwright {

std::optional<Diagnostic> oversized_picture(std::string_view name, std::uint64_t width,
                                            std::uint64_t height) {
    constexpr auto side = static_cast<std::uint64_t>(largest_picture_side);
    constexpr auto area = static_cast<std::uint64_t>(largest_picture_area);
    if (width <= side && height <= side && width * height <= area) return std::nullopt;
    Diagnostic diagnostic{.cause = Cause::too_large, .place = {}, .message = {}, .remedy = {}};
    diagnostic.message =
        fmt::format("{} is a picture of {} × {} pixels, more than is read", name, width, height);
    diagnostic.remedy = fmt::format(
        "cut out the chart or scale it down; at most {} pixels a side and {} million "
        "in all, and 1000 a side are plenty for a chart",
        largest_picture_side, largest_picture_area / 1'000'000);
    return diagnostic;
}

Diagnostic broken_picture(std::string_view name, std::string_view format, std::string_view fault) {
    Diagnostic diagnostic{.cause = Cause::not_a_picture, .place = {}, .message = {}, .remedy = {}};
    diagnostic.message = fmt::format("{} is a broken {} file: {}", name, format, fault);
    diagnostic.remedy = "fetch or save the picture again";
    return diagnostic;
}

Expected<Raster> decode_raster(std::string_view bytes, std::string_view name) {
    if (bytes.size() > largest_picture_file) {
        Diagnostic large = oversized(std::string(name), bytes.size(), largest_picture_file);
        large.remedy = "cut out the chart or save it with fewer pixels";
        return std::unexpected(only(std::move(large)));
    }
    if (is_png(bytes)) return decode_png(bytes, name);
    if (is_jpeg(bytes)) return decode_jpeg(bytes, name);
    Diagnostic diagnostic{.cause = Cause::not_a_picture, .place = {}, .message = {}, .remedy = {}};
    diagnostic.message = bytes.empty() ? fmt::format("{} is empty", name)
                                       : fmt::format("{} is neither PNG nor JPEG", name);
    diagnostic.remedy = "save the chart as PNG, for example as a picture of the screen";
    return std::unexpected(only(std::move(diagnostic)));
}

Expected<Raster> read_raster(const std::string& path) {
    const auto bytes = read_bytes(path, largest_picture_file);
    if (!bytes) return std::unexpected(bytes.error());
    return decode_raster(*bytes, path);
}

}  // namespace gapwright
