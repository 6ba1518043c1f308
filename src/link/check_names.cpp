// Names in the paths that are nodes by the grammar, and can only be meant as parts.
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <functional>
#include <iterator>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/path_words.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

// Names by how often they stand in the file.
using Mentions = std::map<std::string_view, std::size_t, std::less<>>;

void add_texts(const TomlValue& value, Mentions& mentions) {
    if (const auto* text = value.text()) ++mentions[*text];
    if (const auto* list = value.array()) {
        for (const auto& one : *list) add_texts(one, mentions);
    }
    if (const auto* table = value.table()) {
        for (const auto& entry : table->entries) add_texts(entry.value, mentions);
    }
}

// Of names in paths, and of texts that could speak of one: those of [parts] name kinds and cards,
// title and about are words for people.
Mentions mentions_in(const Reading& reading) {
    Mentions mentions;
    for (const Side side : {Side::input, Side::output}) {
        for (const auto& path : reading.link.side(side).paths) {
            for (const auto& item : path) ++mentions[item.name];
        }
    }
    constexpr RootKey silent[] = {RootKey::parts, RootKey::title, RootKey::about};
    for (const auto& entry : reading.document.root.entries) {
        if (std::ranges::find(silent, entry.key, name_of<RootKey>) != std::end(silent)) continue;
        add_texts(entry.value, mentions);
    }
    return mentions;
}

// "Q1" of "Q1.base".
std::string_view part_of_terminal(std::string_view name) {
    return name.substr(0, name.find('.'));
}

bool starts_as_on_drawings(std::string_view name) {
    return !name.empty() && name.front() >= 'A' && name.front() <= 'Z';
}

class NameCheck {
  public:
    explicit NameCheck(Reading& reading) : reading_(reading), mentions_(mentions_in(reading)) {}

    void run() {
        const auto* parts = reading_.find(RootKey::parts);
        declared_ = parts ? parts->value.table() : nullptr;
        // Where no part could be read, that is what is told.
        if (!declared_ || reading_.link.parts.empty()) return;
        for (const Side which : {Side::input, Side::output}) {
            for (const auto& path : reading_.link.side(which).paths) look(path);
        }
    }

  private:
    void look(const Path& path) {
        for (std::size_t k = 0; k < path.size(); ++k) {
            const PathItem& item = path[k];
            if (item.part || item.name == "supply" || item.name == "return") continue;
            const std::string_view part = part_of_terminal(item.name);
            if (declared_->find(part)) continue;
            // Beside another node it is the grammar of paths that is broken, which tells it.
            const bool first = k == 0;
            const bool last = k + 1 == path.size();
            if ((!first && !path[k - 1].part) || (!last && !path[k + 1].part)) continue;
            if (is_called_like_a_part(part) && starts_as_on_drawings(part)) {
                refuse(item, part, fmt::format("no part is called \"{}\"", part));
                continue;
            }
            // At the end of a path it is a dangling node, which the circuit as a whole tells.
            if (first || last || mentions_.find(item.name)->second > 1) continue;
            refuse(item, part,
                   fmt::format("no part is called \"{0}\"{1}, and nothing else in the file speaks "
                               "of a node {0}",
                               item.name, nearest_part(item.name)));
        }
    }

    void refuse(const PathItem& item, std::string_view part, std::string message) {
        std::string remedy = remedy_for_name(part);
        if (remedy.empty()) remedy = "declare it under [parts]";
        if (remedy.starts_with("declare") && !is_called_like_a_part(part)) {
            remedy += ", or leave it out: a wire between two parts needs no name";
        }
        reading_.problem(Cause::unknown_name, item.place, std::move(message), std::move(remedy));
    }

    std::string nearest_part(std::string_view name) const {
        if (name.size() < 3) return {};  // between names of two letters every other one is near
        std::vector<std::string> names;
        for (const auto& part : reading_.link.parts) names.push_back(part.name);
        return did_you_mean(name, names);
    }

    Reading& reading_;
    Mentions mentions_;
    const TomlTable* declared_ = nullptr;
};

}  // namespace

// A node is something that the file speaks of in two places at least. A name between two parts that
// stands nowhere else would be a piece of wire: the part of that name was forgotten, or the name is
// mistyped. What is called as parts are on drawings, "R7", is never meant as a node, however often
// it stands there; in small letters, "d0", it may be.
void check_names(Reading& reading) {
    NameCheck(reading).run();
}

}  // namespace gapwright::reading
