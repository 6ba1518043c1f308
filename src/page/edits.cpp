#include "page/edits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <variant>

#include "page/json.hpp"
#include "page/refusal.hpp"
#include "page/typed_toml.hpp"
#include "page/typed_value.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/words.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/text_edit.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {
namespace {

std::string in_words(const TomlPath& path) {
    std::string words;
    for (const TomlStep& step : path) {
        const auto* key = std::get_if<std::string>(&step);
        if (key != nullptr && *key == "parts") continue;
        if (!words.empty()) words += ' ';
        words += key ? spoken_key(*key) : std::to_string(std::get<std::size_t>(step) + 1);
    }
    return words;
}

// What stands there, without quotes; "nothing".
std::string standing(const TomlDocument& document, const TomlPath& path) {
    const TomlValue* value = value_at(document.root, path);
    return value ? typed_text(*value) : "nothing";
}

std::string shortened(std::string text) {
    constexpr std::size_t longest = 60;
    std::ranges::replace(text, '\n', ' ');
    if (text.size() <= longest) return text;
    std::size_t end = longest;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
    return text.substr(0, end) + " …";
}

class Editor {
  public:
    Editor(std::string text, FileContext file) : text_(std::move(text)), file_(std::move(file)) {}

    std::optional<Refusal> apply(const Json& edit) {
        if (!edit.is_object()) return bad();
        if (edit.contains("whole")) return whole(edit);
        auto document = read();
        if (!document) {
            return Refusal{422, "the file cannot be read, so that no value of it can be changed",
                           "change it as a whole", document.error()};
        }
        if (edit.contains("at")) return set(*document, edit);
        if (edit.contains("append")) return append(*document, edit);
        if (edit.contains("remove")) return remove(*document, edit["remove"]);
        return bad();
    }

    EditedText result() && { return {std::move(text_), std::move(words_)}; }

  private:
    Expected<TomlDocument> read() const {
        return read_toml(std::make_shared<const SourceText>("the file", text_));
    }

    static Refusal bad() { return {400, "this is no edit", "", {}}; }

    std::optional<Refusal> whole(const Json& edit) {
        if (!edit["whole"].is_string()) return bad();
        text_ = edit["whole"].get<std::string>();
        say("the whole file");
        return std::nullopt;
    }

    std::optional<Refusal> set(const TomlDocument& document, const Json& edit) {
        const auto path = toml_path(edit["at"]);
        const auto typed = edit.find("text");
        if (!path || typed == edit.end()) return bad();
        if (typed->is_null()) return remove(document, edit["at"]);
        if (!typed->is_string()) return bad();
        const auto text = written_value(document, *path, typed->get<std::string>(), file_);
        if (!text) return text.error();
        const std::string before = standing(document, *path);
        if (before == *text) return std::nullopt;
        say(fmt::format("{}: {} to {}", in_words(*path), shortened(before), shortened(*text)));
        return take(set_value(document, *path, typed_toml(document, *path, *text, file_)));
    }

    std::optional<Refusal> append(const TomlDocument& document, const Json& edit) {
        const auto path = toml_path(edit["append"]);
        const auto values = edit.find("values");
        if (!path || path->size() > 2 || values == edit.end() || !values->is_object()) return bad();
        TomlKeys keys;
        for (const auto& [key, value] : values->items()) {
            if (value.is_string()) {
                keys.emplace_back(key, toml_string(value.get<std::string>()));
                continue;
            }
            if (!value.is_array()) return bad();
            std::string list;
            for (const Json& item : value) {
                if (!item.is_string()) return bad();
                list += (list.empty() ? "" : ", ") + toml_string(item.get<std::string>());
            }
            keys.emplace_back(key, "[" + list + "]");
        }
        say(in_words(*path) + " added");
        const auto* name = std::get_if<std::string>(&path->front());
        if (name == nullptr) return bad();
        if (path->size() == 1) {
            if (auto refusal = take(append_table(document, *name, keys))) return refusal;
            return write_as_files_do({*name, tables_at(*name)}, keys);
        }
        std::string table;
        for (const auto& [key, toml] : keys) {
            table += table.empty() ? " " : ", ";
            table.append(key).append(" = ").append(toml);
        }
        if (auto refusal = take(set_value(document, *path, "{" + table + " }"))) return refusal;
        return write_as_files_do(*path, keys);
    }

    // The index of the last [[name]]; 0 where there is none.
    std::size_t tables_at(const std::string& name) const {
        const auto document = read();
        const auto* entry = document ? document->root.find(name) : nullptr;
        const auto* list = entry ? entry->value.array() : nullptr;
        return list && !list->empty() ? list->size() - 1 : 0;
    }

    // What a table is asks for all of its keys, so that they are rewritten once it stands there.
    std::optional<Refusal> write_as_files_do(TomlPath table, const TomlKeys& keys) {
        for (const auto& [key, toml] : keys) {
            const auto document = read();
            if (!document) return std::nullopt;  // told where it is read
            table.emplace_back(key);
            const TomlValue* value = value_at(document->root, table);
            const std::string* typed = value ? value->text() : nullptr;
            if (typed != nullptr) {
                const auto text = written_value(*document, table, *typed, file_);
                if (!text) return text.error();
                if (*text != *typed) {
                    if (auto refusal = take(set_value(*document, table, toml_string(*text)))) {
                        return refusal;
                    }
                }
            }
            table.pop_back();
        }
        return std::nullopt;
    }

    std::optional<Refusal> remove(const TomlDocument& document, const Json& at) {
        const auto path = toml_path(at);
        if (!path) return bad();
        if (value_at(document.root, *path) == nullptr) return std::nullopt;
        say(in_words(*path) + " taken out");
        return take(remove_value(document, *path));
    }

    std::optional<Refusal> take(const std::expected<TextEdit, std::string>& edit) {
        if (!edit) return Refusal{422, edit.error(), "", {}};
        text_ = edited(text_, {*edit});
        return std::nullopt;
    }

    void say(const std::string& words) { words_ += (words_.empty() ? "" : "; ") + words; }

    std::string text_;
    FileContext file_;
    std::string words_;
};

}  // namespace

std::string typed_text(const TomlValue& value) {
    if (const auto* text = value.text()) return *text;
    const auto* list = value.array();
    const bool names =
        list != nullptr && std::ranges::all_of(*list, [](const TomlValue& item) {
            return item.text() != nullptr && item.text()->find(',') == std::string::npos;
        });
    if (!names) {
        return std::string(value.place.text->text().substr(value.place.begin,
                                                           value.place.end - value.place.begin));
    }
    std::string text;
    for (const TomlValue& item : *list) text += (text.empty() ? "" : ", ") + *item.text();
    return text;
}

Answered<EditedText> apply_edits(const std::string& text, const Json& edits,
                                 const FileContext& file) {
    constexpr std::size_t most = 64;
    if (!edits.is_array() || edits.size() > most) return refused(400, "there are no edits to make");
    Editor editor(text, file);
    for (const Json& edit : edits) {
        if (auto refusal = editor.apply(edit)) return std::unexpected(std::move(*refusal));
    }
    return std::move(editor).result();
}

}  // namespace gapwright
