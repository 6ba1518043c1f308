#include "card/part_kind.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind_table.hpp"

namespace gapwright {
namespace {

constexpr std::array<std::pair<std::string_view, KindName>, 4> long_names{
    {{"npn transistor", {Kind::transistor, "npn"}},
     {"pnp transistor", {Kind::transistor, "pnp"}},
     {"n-channel mosfet", {Kind::mosfet, "n"}},
     {"p-channel mosfet", {Kind::mosfet, "p"}}}};

}  // namespace

std::span<const KindRule> kind_rules() {
    static const std::vector<KindRule> rules = make_kind_rules();
    return rules;
}

const KindRule& kind_rule(Kind kind) {
    return kind_rules()[static_cast<std::size_t>(kind)];
}

std::optional<KindName> kind_named(std::string_view name) {
    for (const auto& [text, meaning] : long_names) {
        if (text == name) return meaning;
    }
    for (const auto& rule : kind_rules()) {
        if (rule.name == name) return KindName{rule.kind};
    }
    return std::nullopt;
}

std::vector<std::string> kind_words(Kind kind) {
    std::vector<std::string> words = {std::string(kind_rule(kind).name)};
    for (const auto& [text, meaning] : long_names) {
        if (meaning.kind == kind) words.emplace_back(text);
    }
    return words;
}

std::vector<std::string> split_words(std::string_view words) {
    std::vector<std::string> result;
    while (!words.empty()) {
        const auto bar = words.find('|');
        result.emplace_back(words.substr(0, bar));
        words = bar == std::string_view::npos ? "" : words.substr(bar + 1);
    }
    return result;
}

const KeyRule* find_key(const KindRule& kind, Key key) {
    const auto found = std::ranges::find(kind.keys, key, &KeyRule::key);
    return found == kind.keys.end() ? nullptr : &*found;
}

const KeyRule* find_named_key(const KindRule& kind, std::string_view name, std::string_view group) {
    const auto found = std::ranges::find_if(kind.keys, [&](const KeyRule& key) {
        return (key.name() == name || (!key.alias.empty() && key.alias == name)) &&
               (group.empty() || key.group == group);
    });
    return found == kind.keys.end() ? nullptr : &*found;
}

}  // namespace gapwright
