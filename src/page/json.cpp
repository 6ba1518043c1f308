#include "page/json.hpp"

#include <algorithm>
#include <cstddef>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include "page/refusal.hpp"
#include "report/json/ordered_json.hpp"
#include "service/exchange.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {
namespace {

using Texts = std::map<const SourceText*, std::optional<TomlDocument>>;

bool holds(const Place& place, std::size_t at) {
    return place.begin <= at && at < std::max(place.end, place.begin + 1);
}

// The path to the innermost value that holds a byte.
void find_path(const TomlValue& value, std::size_t at, TomlPath& path);

void find_path(const TomlTable& table, std::size_t at, TomlPath& path) {
    for (const TomlEntry& entry : table.entries) {
        const bool list = entry.value.array() != nullptr;
        const bool here = holds(entry.key_place, at) || holds(entry.value.place, at);
        TomlPath inner = path;
        inner.emplace_back(entry.key);
        if (entry.value.table() != nullptr || list) {
            const std::size_t before = inner.size();
            find_path(entry.value, at, inner);
            if (inner.size() > before) {
                path = std::move(inner);
                return;
            }
        }
        if (here) path = std::move(inner);
        if (here) return;
    }
}

void find_path(const TomlValue& value, std::size_t at, TomlPath& path) {
    if (const auto* table = value.table()) return find_path(*table, at, path);
    const auto* list = value.array();
    if (list == nullptr) return;
    for (std::size_t k = 0; k < list->size(); ++k) {
        if ((*list)[k].table() == nullptr) continue;  // a list of texts is edited as a whole
        TomlPath inner = path;
        inner.emplace_back(k);
        const std::size_t before = inner.size();
        find_path((*list)[k], at, inner);
        if (inner.size() == before) continue;
        path = std::move(inner);
        return;
    }
}

Json path_of(const Place& place, Texts& texts) {
    if (!place.text) return nullptr;
    auto [found, fresh] = texts.try_emplace(place.text.get());
    if (fresh) {
        if (auto document = read_toml(place.text)) found->second = std::move(*document);
    }
    if (!found->second) return nullptr;
    TomlPath path;
    find_path(found->second->root, place.begin, path);
    return path.empty() ? Json(nullptr) : json_path(path);
}

}  // namespace

std::string json_text(const Json& json) {
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Reply json_reply(const Json& json) {
    return {
        .status = 200, .type = "application/json", .body = json_text(json), .download_name = {}};
}

Answered<Json> json_object(const std::string& body) {
    Json json = Json::parse(body, nullptr, false);
    if (!json.is_object()) return refused(400, "the request is no JSON object");
    return json;
}

std::string text_in(const Json& object, const char* key, const std::string& otherwise) {
    const auto found = object.find(key);
    return found != object.end() && found->is_string() ? found->get<std::string>() : otherwise;
}

double number_in(const Json& object, const char* key, double otherwise) {
    const auto found = object.find(key);
    return found != object.end() && found->is_number() ? found->get<double>() : otherwise;
}

Json json_path(const TomlPath& path) {
    Json json = Json::array();
    for (const TomlStep& step : path) {
        if (const auto* key = std::get_if<std::string>(&step)) {
            json.push_back(*key);
        } else {
            json.push_back(std::get<std::size_t>(step));
        }
    }
    return json;
}

std::optional<TomlPath> toml_path(const Json& path) {
    constexpr std::size_t deepest = 8;
    if (!path.is_array() || path.empty() || path.size() > deepest) return std::nullopt;
    TomlPath result;
    for (const Json& step : path) {
        if (step.is_string()) {
            result.emplace_back(step.get<std::string>());
        } else if (step.is_number_unsigned()) {
            result.emplace_back(step.get<std::size_t>());
        } else {
            return std::nullopt;
        }
    }
    return result;
}

Json problem_list(const Problems& problems) {
    Json list = Json::array();
    Texts texts;
    for (const Diagnostic& problem : problems) {
        SourceText::LineColumn where{.line = 0, .column = 0};
        if (problem.place.text) where = problem.place.text->line_column(problem.place.begin);
        list.push_back({{"message", problem.message},
                        {"remedy", problem.remedy},
                        {"line", where.line},
                        {"column", where.column},
                        {"excerpt", to_text(problem)},
                        {"at", path_of(problem.place, texts)}});
    }
    return list;
}

Json refusal_view(const Refusal& refusal) {
    // A sentence of its own, where messages elsewhere follow a file's name.
    std::string sentence = refusal.error;
    if (!sentence.empty() && sentence[0] >= 'a' && sentence[0] <= 'z')
        sentence[0] = static_cast<char>(sentence[0] - 'a' + 'A');
    return {{"error", sentence},
            {"remedy", refusal.remedy},
            {"problems", problem_list(refusal.problems)}};
}

}  // namespace gapwright
