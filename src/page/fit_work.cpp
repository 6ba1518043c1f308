#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <ctime>
#include <expected>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/default_card.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "fit/card_curves.hpp"
#include "fit/card_file.hpp"
#include "fit/card_fit.hpp"
#include "fit/specimen_charts.hpp"
#include "page/cards.hpp"
#include "page/jobs.hpp"
#include "page/json.hpp"
#include "page/pictures.hpp"
#include "page/point_settings.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "page/workspace.hpp"
#include "report/card_report.hpp"
#include "report/json/ordered_json.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

// The points of an order: of a file of the folder, or as they were pasted.
struct PointsRead {
    std::vector<MeasuredPoint> points;
    std::string from;  // "points.csv", "pasted points"
    std::vector<std::string> skipped;
};
Answered<PointsRead> points_of(Workspace& workspace, const Json& order) {
    std::string text = text_in(order, "points");
    std::string from = "pasted points";
    if (const std::string id = text_in(order, "file"); !id.empty()) {
        auto content = workspace.read(id, ".csv", 1U << 20U);
        if (!content) return std::unexpected(content.error());
        text = std::move(content->text);
        from = std::filesystem::path(*workspace.file_of(id)).filename().string();
    }
    const auto table = read_points_csv(std::make_shared<const SourceText>(from, text));
    if (!table) return refused("the points cannot be read", table.error());
    PointsRead read{table->points, from, {}};
    for (const auto& row : table->skipped) read.skipped.push_back(to_text(row));
    for (const auto& column : table->ignored) {
        read.skipped.push_back(
            fmt::format("the column {} is no quantity of points: passed over", column));
    }
    const auto settings = point_settings(order);
    if (!settings) return std::unexpected(settings.error());
    for (auto& point : read.points) point.values.insert(settings->begin(), settings->end());
    return read;
}

Answered<Description> base_of(Workspace& workspace, const Json& order, std::string& based_on) {
    if (const std::string id = text_in(order, "based_on"); !id.empty()) {
        const auto card = read_card_of(workspace, id);
        if (!card) return std::unexpected(card.error());
        if (!card->file) return refused("the card to begin with cannot be read", card->problems);
        based_on = card->name;
        return card->file->card;
    }
    const std::string word = text_in(order, "kind");
    const auto kind = kind_named(word);
    const auto base = kind ? default_card(kind->kind) : std::nullopt;
    if (!base)
        return refused(422, "\"" + word + "\" is no kind that can be fitted", "take another");
    return *base;
}

Json figures(const CardFit& fit) {
    Json list = Json::array();
    for (const auto& figure : fit.figures) {
        std::string note;
        if (figure.kept) {
            note = kept_words(fit, figure);
        } else {
            note = fmt::format("95 %: {} … {}", figure_text(figure.lowest, figure.dimension),
                               figure_text(figure.highest, figure.dimension));
        }
        list.push_back({{"label", spoken_key(figure.key)},
                        {"text", figure_text(figure.value, figure.dimension)},
                        {"note", note}});
    }
    return list;
}

}  // namespace

Answered<Json> fit_work(Workspace& workspace, const Json& order, JobProgress& progress) {
    auto read = points_of(workspace, order);
    if (!read) return std::unexpected(read.error());
    std::string based_on;
    const auto base = base_of(workspace, order, based_on);
    if (!base) return std::unexpected(base.error());
    CardFitOptions options;
    options.stop = progress.stop();
    options.progress = [&](std::size_t done, std::size_t of) {
        progress.say(fmt::format("{} of {} specimens fitted", done, of),
                     static_cast<double>(done) / static_cast<double>(std::max<std::size_t>(of, 1)));
    };
    progress.say("fitting");
    const auto fit = fit_card(*base, read->points, options);
    if (!fit && !fit.error().problems.empty()) {
        return refused("these points cannot be fitted", fit.error().problems);
    }
    if (!fit) return refused(422, fit.error().message);
    CardFileHead head{
        .name = text_in(order, "name"), .based_on = based_on, .source = text_in(order, "source")};
    if (head.name.empty()) head.name = "Fitted part";
    if (head.source.empty()) {
        const std::time_t now = std::time(nullptr);
        const std::string origins = origins_of(read->points);
        head.source =
            fmt::format("fitted to {} points of {}{}, {:%Y-%m-%d}", read->points.size(), read->from,
                        origins.empty() ? "" : fmt::format(" ({})", origins), fmt::localtime(now));
    }
    const auto charts = card_charts(fit->card, fit->observations);
    if (!charts) return refused("the card has no curves", charts.error());
    const auto specimens = specimen_charts(*fit);
    if (!specimens) return refused("the specimens have no curves", specimens.error());
    auto pictures = fit_pictures({head.name, fit->card}, *fit, *charts);
    for (auto& picture : specimen_pictures({head.name, fit->card}, *specimens)) {
        pictures.push_back(std::move(picture));
    }
    std::string words = fit_text(*fit, {.colour = false});
    for (const auto& row : read->skipped) words += "\n" + row;
    return Json{{"words", words},
                {"figures", figures(*fit)},
                {"pictures", picture_list(pictures)},
                {"text", card_file_text(*fit, read->points, head)}};
}

}  // namespace gapwright
