#include "page/folder_view.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <initializer_list>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "card/card_shelf.hpp"
#include "card/default_card.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "fit/observation.hpp"
#include "folder/folder.hpp"
#include "link/need.hpp"
#include "page/cards.hpp"
#include "page/examples.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "report/pictures/part_symbol.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

constexpr std::size_t largest_looked_into = std::size_t{1} << 20U;

bool ends_with_any(std::string_view name, std::initializer_list<std::string_view> endings) {
    return std::ranges::any_of(endings, [&](std::string_view e) { return name.ends_with(e); });
}

std::string stem_of(const std::string& file, std::string_view ending) {
    std::string name = std::filesystem::path(file).filename().string();
    if (name.ends_with(ending)) name.resize(name.size() - ending.size());
    return name;
}

Json entry(Workspace& workspace, const std::string& file, const std::string& name,
           const std::string& title, std::string note) {
    return {{"id", workspace.ids().id_of(file)},
            {"name", name},
            {"file", file.starts_with('(') ? "" : file},
            {"title", title.empty() ? name : title},
            {"note", std::move(note)}};
}

std::string title_in(const TomlDocument& document) {
    const auto* title = document.root.find("title");
    const auto* text = title ? title->value.text() : nullptr;
    return text ? *text : "";
}

// Its title, and what it is in a word.
Json link_entry(Workspace& workspace, const std::string& file) {
    const std::string name = stem_of(file, ".link.toml");
    const auto content = workspace.folder().read(file, largest_looked_into);
    if (!content) return entry(workspace, file, name, "", content.error().message);
    const auto document = read_toml(std::make_shared<const SourceText>(file, content->text));
    if (!document) return entry(workspace, file, name, "", "cannot be read");
    const bool need = states_a_need(*document);
    return entry(workspace, file, name, title_in(*document), need ? "need" : "");
}

// The first line of a CSV file says whether it is a drawer or points.
enum class Table { drawer, points, other };
Table table_kind(Workspace& workspace, const std::string& file) {
    const auto content = workspace.folder().read(file, largest_looked_into);
    if (!content) return Table::other;
    const std::string head = content->text.substr(0, content->text.find('\n'));
    if (head.find("kind") != std::string::npos && head.find("value") != std::string::npos) {
        return Table::drawer;
    }
    const bool points = std::ranges::any_of(point_quantities(), [&](const PointQuantity& q) {
        return head.find(q.name) != std::string::npos;
    });
    return points ? Table::points : Table::other;
}

Json card_entries(Workspace& workspace, const FolderListing& listing) {
    Json cards = Json::array();
    const auto add = [&](const std::string& file, const std::string& name, bool shipped) {
        const auto read = read_card_of(workspace, workspace.ids().id_of(file));
        if (!read) return;
        std::string note = "has problems";
        std::string title = name;
        std::string picture;
        if (read->file) {
            note =
                std::string(kind_rule(read->file->card.kind).name) + (shipped ? ", shipped" : "");
            title = read->file->card.name;
            picture = card_picture(read->file->card).svg(false, 3);
        }
        cards.push_back(entry(workspace, file, name, title, note));
        cards.back()["picture"] = std::move(picture);
    };
    for (const auto& file : listing.files) {
        if (file.path.ends_with(".card.toml"))
            add(file.path, stem_of(file.path, ".card.toml"), false);
    }
    for (const auto& name : CardShelf({}).names()) {
        add(std::string(shipped_prefix) + name, name, true);
    }
    return cards;
}

std::string example_path(std::string_view group, std::string_view name) {
    return fmt::format("({}) {}", group, name);
}

Json example_entries(Workspace& workspace) {
    Json entries = Json::array();
    const auto add = [&](std::string_view group, std::span<const ExampleFile> files,
                         const char* note) {
        for (const auto& file : files) {
            if (!file.name.ends_with(".link.toml")) continue;
            const std::string name(file.name);
            const auto document =
                read_toml(std::make_shared<const SourceText>(name, std::string(file.text)));
            entries.push_back(entry(workspace, example_path(group, name),
                                    stem_of(name, ".link.toml"),
                                    document ? title_in(*document) : "", note));
        }
    };
    add("example", example_links(), "link");
    add("need", example_needs(), "need");
    return entries;
}

}  // namespace

Json folder_view(Workspace& workspace) {
    const FolderListing listing = workspace.listing();
    Json view = {{"name", std::filesystem::absolute(workspace.folder().path())
                              .lexically_normal()
                              .filename()
                              .string()},
                 {"links", Json::array()},
                 {"cards", card_entries(workspace, listing)},
                 {"drawers", Json::array()},
                 {"charts", Json::array()},
                 {"points", Json::array()},
                 {"examples", example_entries(workspace)},
                 {"kinds", Json::array()},
                 {"quantities", Json::array()},
                 {"trouble", ""}};
    for (const auto& file : listing.files) {
        const std::string& path = file.path;
        const std::string name = std::filesystem::path(path).filename().string();
        if (path.ends_with(".link.toml")) {
            view["links"].push_back(link_entry(workspace, path));
        } else if (path.ends_with(".csv")) {
            const Table kind = table_kind(workspace, path);
            if (kind == Table::other) continue;
            view[kind == Table::drawer ? "drawers" : "points"].push_back(
                entry(workspace, path, name, "", ""));
        } else if (ends_with_any(path, {".png", ".jpg", ".jpeg"})) {
            view["charts"].push_back(entry(workspace, path, name, "", ""));
        }
    }
    for (const KindRule& kind : kind_rules()) {
        if (can_be_fitted(kind.kind) && default_card(kind.kind)) view["kinds"].push_back(kind.name);
    }
    for (const auto& quantity : point_quantities()) view["quantities"].push_back(quantity.name);
    if (access(workspace.folder().path().c_str(), W_OK) != 0) {
        view["trouble"] = "the folder cannot be written: what you change is not saved";
    }
    if (listing.cut) view["trouble"] = "the folder holds more files than are shown";
    if (!listing.unread.empty()) {
        view["trouble"] = fmt::format("the folder {} cannot be read", listing.unread.front());
    }
    return view;
}

}  // namespace gapwright
