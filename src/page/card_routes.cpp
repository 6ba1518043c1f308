#include <cstddef>
#include <expected>
#include <string>
#include <string_view>
#include <utility>

#include "folder/atomic_save.hpp"
#include "folder/folder.hpp"
#include "page/cards.hpp"
#include "page/edits.hpp"
#include "page/folder_view.hpp"
#include "page/json.hpp"
#include "page/refusal.hpp"
#include "page/typed_value.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "service/exchange.hpp"

namespace gapwright {
namespace {

constexpr std::string_view card_ending = ".card.toml";

// Edits of a card's text that were not made, each told at its value.
struct CardsLeftOut {
    Json paths = Json::array();
    Json problems = Json::array();
};

// The text with the edits that it takes, one by one: one that can be read in two ways keeps no
// other from being seen. Errors: 400 for what is no edit.
Answered<std::string> edited_card(std::string text, const Json& edits, const FileContext& file,
                                  CardsLeftOut& left_out) {
    constexpr std::size_t most = 128;  // more than any kind has keys
    if (!edits.is_array() || edits.size() > most) return refused(400, "there are no edits to make");
    for (const Json& edit : edits) {
        auto made = apply_edits(text, Json::array({edit}), file);
        if (made) {
            text = std::move(made->text);
            continue;
        }
        const Refusal& refusal = made.error();
        if (refusal.status == 400 || !edit.contains("at")) return std::unexpected(refusal);
        left_out.paths.push_back(edit["at"]);
        if (!refusal.problems.empty()) continue;  // of the whole text, which tells them itself
        Json problem = refusal_view(refusal);
        left_out.problems.push_back({{"message", problem["error"]},
                                     {"remedy", refusal.remedy},
                                     {"line", 0},
                                     {"column", 0},
                                     {"excerpt", ""},
                                     {"at", edit["at"]}});
    }
    return text;
}

// Judges a text with edits; nothing is saved.
Answered<Reply> try_out(Workspace& workspace, const std::string& id, const Json& trial) {
    const auto stands = read_card_of(workspace, id);
    if (!stands) return std::unexpected(stands.error());
    CardsLeftOut left_out;
    auto text = edited_card(text_in(trial, "text"), trial.value("edits", Json::array()),
                            {FileSort::card, stands->folder}, left_out);
    if (!text) return std::unexpected(text.error());
    Json view = card_view(id, card_with(*stands, std::move(*text)), &*stands);
    for (Json& problem : left_out.problems) view["problems"].push_back(std::move(problem));
    view["refused"] = std::move(left_out.paths);
    return json_reply(view);
}

// A card is written over only by whoever has read it as it is.
Answered<Reply> save(Workspace& workspace, const std::string& id, const Json& order) {
    const auto file = workspace.file_of(id);
    if (!file) return std::unexpected(file.error());
    if (!file->ends_with(card_ending)) return refused(404, "this card cannot be saved over");
    SaveOptions options{.replace = true, .last_look = {}};
    bool changed = false;
    options.last_look = [&]() -> std::expected<void, std::string> {
        const auto there = workspace.folder().read(*file);
        if (there && there->text == text_in(order, "replaces")) return {};
        changed = true;
        return std::unexpected(*file + " has changed outside meanwhile");
    };
    const auto saved = workspace.folder().save(*file, text_in(order, "text"), options);
    if (!saved) return refused(changed ? 409 : 422, saved.error().reason);
    const auto card = read_card_of(workspace, id);
    if (!card) return std::unexpected(card.error());
    return json_reply(card_view(id, *card));
}

}  // namespace

Answered<Reply> answer_about_card(Workspace& workspace, const std::string& id,
                                  std::string_view action, const Request& request) {
    if (request.method == Method::get) {
        if (!action.empty()) return refused(404, "there is no such question");
        const auto card = read_card_of(workspace, id);
        if (!card) return std::unexpected(card.error());
        return json_reply(card_view(id, *card));
    }
    const auto body = json_object(request.body);
    if (!body) return std::unexpected(body.error());
    if (action == "try") return try_out(workspace, id, *body);
    if (action == "save") return save(workspace, id, *body);
    return refused(404, "there is no such question");
}

Answered<Json> make_new_card(Workspace& workspace, const Json& order) {
    const auto file = new_file_name(text_in(order, "name"), card_ending);
    if (!file) return refused(422, file.error());
    const auto saved =
        workspace.folder().save(*file, text_in(order, "text"), {.replace = false, .last_look = {}});
    if (!saved && saved.error().exists) {
        return refused(409, *file + " is there already", "give it another name");
    }
    if (!saved) return refused(422, saved.error().reason);
    return folder_view(workspace);
}

}  // namespace gapwright
