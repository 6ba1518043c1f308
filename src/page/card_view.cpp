#include <algorithm>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/card_reading.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/shipped_cards.hpp"
#include "fit/card_check.hpp"
#include "fit/card_curves.hpp"
#include "fit/observation.hpp"
#include "page/cards.hpp"
#include "page/json.hpp"
#include "page/pictures.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/card_report.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/card_words.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

constexpr std::string_view card_ending = ".card.toml";
constexpr std::size_t largest_card = std::size_t{1} << 20U;

}  // namespace

Answered<CardRead> read_card_of(Workspace& workspace, const std::string& id) {
    const auto file = workspace.file_of(id);
    if (!file) return std::unexpected(file.error());
    CardRead read;
    read.shipped = file->starts_with(shipped_prefix);
    read.name = std::filesystem::path(*file).filename().string();
    if (read.name.ends_with(card_ending)) {
        read.name.resize(read.name.size() - card_ending.size());
    }
    std::string folder = workspace.folder().path().string();
    if (read.shipped) {
        read.name = file->substr(shipped_prefix.size());
        const auto cards = shipped_cards();
        const auto found = std::ranges::find(cards, read.name, &ShippedCard::name);
        if (found == cards.end()) return refused(404, "there is no such card");
        read.text = std::string(found->text);
    } else {
        auto content = workspace.read(id, card_ending, largest_card);
        if (!content) return std::unexpected(content.error());
        read.text = std::move(content->text);
        folder = workspace.folder_of(*file);
    }
    auto card =
        read_card_text(std::make_shared<const SourceText>(*file, read.text), read.name, folder);
    if (card) {
        read.file = std::move(*card);
    } else {
        read.problems = card.error();
    }
    return read;
}

Answered<Json> card_view(Workspace& workspace, const std::string& id) {
    const auto read = read_card_of(workspace, id);
    if (!read) return std::unexpected(read.error());
    Json view = {{"id", id},
                 {"name", read->name},
                 {"title", read->name},
                 {"kind", ""},
                 {"source", ""},
                 {"shipped", read->shipped},
                 {"text", read->text},
                 {"figures", Json::array()},
                 {"findings", Json::array()},
                 {"charts", Json::array()},
                 {"problems", problem_list(read->problems)}};
    if (!read->file) return view;
    const Description& card = read->file->card;
    if (!card.name.empty()) view["title"] = card.name;
    view["kind"] = kind_rule(card.kind).name;
    view["source"] = card.source;
    for (const KeyRule& rule : kind_rule(card.kind).keys) {
        const Figure* figure = card.find(rule.key);
        const auto choice = card.choices.find(rule.key);
        if (figure == nullptr && choice == card.choices.end()) continue;
        view["figures"].push_back({{"group", rule.group},
                                   {"label", spoken_key(rule.key)},
                                   {"text", figure ? figure_words(rule, *figure) : choice->second},
                                   {"origin", figure && figure->assumed ? "assumed" : "card"}});
    }
    std::vector<Observation> observed;
    if (!read->file->points.empty() && can_be_fitted(card.kind)) {
        if (auto found = observations_of(card.kind, read->file->points)) {
            observed = std::move(*found);
        }
    }
    for (const auto& finding : check_card(card, observed)) {
        view["findings"].push_back(
            {{"text", finding.text + (finding.remedy.empty() ? "" : ": " + finding.remedy)},
             {"grave", finding.nonsense}});
    }
    if (const auto charts = card_charts(card, observed)) {
        view["charts"] = picture_list(chart_pictures({read->name, card}, *charts));
    }
    return view;
}

}  // namespace gapwright
