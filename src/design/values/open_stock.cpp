#include "design/values/open_stock.hpp"

#include <fmt/format.h>

#include <expected>
#include <filesystem>
#include <optional>
#include <string>
#include <utility>

#include "card/drawer.hpp"
#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/preferred.hpp"

namespace gapwright {
namespace {

constexpr double lowest_of_series = 10;  // Ω
constexpr double highest_of_series = 1e6;

Expected<Drawer> read_named(const ChosenText& named, const std::string& folder) {
    const std::filesystem::path path = std::filesystem::path(folder) / named.text;
    auto text = read_file(path.string());
    if (!text) {
        return std::unexpected(only({.cause = text.error().front().cause,
                                     .place = named.place,
                                     .message = "the drawer " + text.error().front().message,
                                     .remedy = "name a CSV file beside the link file"}));
    }
    return read_drawer(std::move(*text));
}

Expected<Stock> open_drawer(const ChosenText& named, const std::string& folder) {
    const auto drawer = read_named(named, folder);
    if (!drawer) return std::unexpected(drawer.error());
    Stock stock = stock_of(*drawer, named.text);
    if (!stock.values.empty()) return stock;
    Problems problems = std::move(stock.skipped);
    problems.push_back({.cause = Cause::missing_key,
                        .place = named.place,
                        .message = fmt::format("{} holds no resistor", named.text),
                        .remedy = "add rows such as resistor,330 Ω,5 %,0.25 W,10,, or leave the "
                                  "drawer out to choose from the E24 series"});
    return std::unexpected(std::move(problems));
}

}  // namespace

Expected<std::optional<Drawer>> named_drawer(const ChosenStock& chosen, const std::string& folder) {
    if (!chosen.drawer) return std::nullopt;
    auto drawer = read_named(*chosen.drawer, folder);
    if (!drawer) return std::unexpected(drawer.error());
    return std::optional(std::move(*drawer));
}

std::string stock_name(const ChosenStock& chosen) {
    return chosen.drawer ? chosen.drawer->text : fmt::format("the E{} series", chosen.series);
}

Expected<Stock> open_stock(const ChosenStock& chosen, const std::string& folder) {
    if (chosen.drawer) return open_drawer(*chosen.drawer, folder);
    Stock stock = series_stock(static_cast<Series>(chosen.series), lowest_of_series,
                               highest_of_series, chosen.tolerance, chosen.power);
    stock.name = stock_name(chosen);
    return stock;
}

}  // namespace gapwright
