#include <algorithm>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/card_reading.hpp"
#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "card/shipped_cards.hpp"
#include "fit/card_check.hpp"
#include "fit/card_curves.hpp"
#include "fit/observation.hpp"
#include "page/cards.hpp"
#include "page/json.hpp"
#include "page/pictures.hpp"
#include "page/refusal.hpp"
#include "page/typed_value.hpp"
#include "page/workspace.hpp"
#include "report/card_report.hpp"
#include "report/json/ordered_json.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

constexpr std::string_view card_ending = ".card.toml";
constexpr std::size_t largest_card = std::size_t{1} << 20U;

CardRead judged(CardRead card) {
    auto file = read_card_text(card.text, card.name, card.folder);
    card.file.reset();
    card.problems.clear();
    if (file) {
        card.file = std::move(*file);
    } else {
        card.problems = file.error();
    }
    return card;
}

// Problem[] of the contract. A value is told only where it stands in this text: neither one of
// another card, nor what is missing altogether, of which the first characters are told.
Json problems_of(const CardRead& card, const std::optional<TomlDocument>& document) {
    Json list = problem_list(card.problems);
    for (std::size_t k = 0; k < card.problems.size(); ++k) {
        const Place& place = card.problems[k].place;
        const bool here = place.text == card.text;
        const bool missing = here && document && place.begin == document->start().begin &&
                             place.end == document->start().end;
        if (!here || missing) list[k]["at"] = nullptr;
    }
    return list;
}

std::vector<Observation> observations(const CardFile& file) {
    if (file.points.empty() || !can_be_fitted(file.card.kind)) return {};
    auto found = observations_of(file.card.kind, file.points);
    return found ? std::move(*found) : std::vector<Observation>();
}

std::vector<CardChart> charts_of(const CardFile& file) {
    auto charts = card_charts(file.card, observations(file));
    return charts ? std::move(*charts) : std::vector<CardChart>();
}

// Whether nothing of the card is nonsense.
bool can_be(const CardFile& file) {
    return std::ranges::none_of(check_card(file.card, observations(file)), &CardFinding::nonsense);
}

const std::string* text_at(const TomlDocument& document, std::string_view key) {
    const auto* entry = document.root.find(key);
    return entry ? entry->value.text() : nullptr;
}

}  // namespace

Answered<CardRead> read_card_of(Workspace& workspace, const std::string& id) {
    const auto file = workspace.file_of(id);
    if (!file) return std::unexpected(file.error());
    CardRead read{.name = std::filesystem::path(*file).filename().string(),
                  .folder = workspace.folder().path().string(),
                  .shipped = file->starts_with(shipped_prefix)};
    if (read.shipped) {
        read.name = file->substr(shipped_prefix.size());
        const auto cards = shipped_cards();
        const auto found = std::ranges::find(cards, read.name, &ShippedCard::name);
        if (found == cards.end()) return refused(404, "there is no such card");
        read.text = std::make_shared<const SourceText>(*file, std::string(found->text));
    } else {
        auto content = workspace.read(id, card_ending, largest_card);
        if (!content) return std::unexpected(content.error());
        read.name.resize(read.name.size() - card_ending.size());
        read.text = std::make_shared<const SourceText>(*file, std::move(content->text));
        read.folder = workspace.folder_of(*file);
    }
    return judged(std::move(read));
}

CardRead card_with(CardRead card, std::string text) {
    card.text = std::make_shared<const SourceText>(card.text->name(), std::move(text));
    return judged(std::move(card));
}

Json card_view(const std::string& id, const CardRead& card, const CardRead* before) {
    std::optional<TomlDocument> document;
    if (auto read = read_toml(card.text)) document = std::move(*read);
    const std::string* title = document ? text_at(*document, "name") : nullptr;
    const auto kind = document ? card_kind(document->root, card.folder) : std::nullopt;
    Json view = {{"id", id},
                 {"name", card.name},
                 {"title", title && !title->empty() ? *title : card.name},
                 {"kind", kind ? kind_rule(*kind).name : ""},
                 {"shipped", card.shipped},
                 {"text", card.text->text()},
                 {"groups", card_groups(card)},
                 {"findings", Json::array()},
                 {"charts", Json::array()},
                 {"problems", problems_of(card, document)},
                 {"refused", Json::array()}};
    if (!card.file) return view;
    const CardFile& file = *card.file;
    const auto findings = check_card(file.card, observations(file));
    for (const auto& finding : findings) {
        view["findings"].push_back(
            {{"text", finding.text + (finding.remedy.empty() ? "" : ": " + finding.remedy)},
             {"grave", finding.nonsense}});
    }
    // As of links, nothing is drawn of what cannot be: its curves mean nothing, and some would take
    // a minute.
    if (std::ranges::any_of(findings, &CardFinding::nonsense)) return view;
    const NamedCard named{card.name, file.card};
    const bool compared = before != nullptr && before->file && can_be(*before->file);
    view["charts"] = picture_list(
        compared ? changed_chart_pictures(named, charts_of(file), charts_of(*before->file))
                 : chart_pictures(named, charts_of(file)));
    return view;
}

}  // namespace gapwright
