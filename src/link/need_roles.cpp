#include "link/need_roles.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "card/trade_words.hpp"
#include "link/file_table.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

// Gives roles the words of their key, in its order.
template <std::size_t count>
std::array<Role, count> worded(const FileKey& key, std::array<Role, count> roles) {
    std::string_view rest = key.takes.words;
    for (Role& role : roles) {
        role.word = rest.substr(0, rest.find('|'));
        rest.remove_prefix(std::min(role.word.size() + 1, rest.size()));
    }
    return roles;
}

// The kinds of ours that a word may mean, the likeliest first.
std::vector<Kind> kinds_meant(std::string_view word) {
    std::vector<Kind> kinds;
    const auto add = [&](std::string_view name) {
        if (const auto kind = kind_named(name)) kinds.push_back(kind->kind);
    };
    add(kind_spelled(word));
    if (const TradeWord* row = trade_word(word)) {
        for (const TradeKind& meant : row->kinds) add(meant.kind);
    }
    return kinds;
}

std::vector<std::string> words_of(std::span<const Role> roles) {
    std::vector<std::string> words;
    for (const Role& role : roles) words.emplace_back(role.word);
    return words;
}

}  // namespace

std::span<const Role> drive_roles() {
    static const auto roles =
        worded(row_of(DriveKey::kind),
               std::to_array<Role>({{Kind::logic_output, R"({ card = "logic-output-5v" })"},
                                    {Kind::contact, R"({ kind = "contact" })"}}));
    return roles;
}

std::span<const Role> load_roles() {
    static const auto roles =
        worded(row_of(LoadKey::kind),
               std::to_array<Role>(
                   {{Kind::coil, R"({ card = "relay-coil-24v" })"},
                    {Kind::led, R"({ kind = "indicator", card = "red-led", current = "5 mA" })"},
                    {Kind::logic_input, R"({ card = "logic-input-5v" })"},
                    {Kind::load, R"({ kind = "load", resistance = "1 kΩ", current = "10 mA" })"}}));
    return roles;
}

std::vector<const KeyRule*> role_keys(std::span<const Role> roles) {
    std::vector<const KeyRule*> keys;
    for (const Role& role : roles) {
        for (const KeyRule& key : kind_rule(role.kind).keys) {
            const auto same = [&](const KeyRule* known) { return known->key == key.key; };
            if (std::ranges::none_of(keys, same)) keys.push_back(&key);
        }
    }
    return keys;
}

std::string role_words(std::span<const Role> roles) {
    return fmt::format("{}", fmt::join(words_of(roles), ", "));
}

const Role* role_meant(std::string_view word, std::span<const Role> roles) {
    for (const Kind kind : kinds_meant(word)) {
        const auto role = std::ranges::find(roles, kind, &Role::kind);
        if (role != roles.end()) return &*role;
    }
    return nullptr;
}

RefusedRole refused_role(const std::string& word, std::string_view key,
                         std::span<const Role> roles) {
    RefusedRole refused{.message = fmt::format("\"{}\" cannot be the {} of a link", word, key),
                        .remedy = {}};
    if (const Role* meant = role_meant(word, roles)) {
        refused.remedy = fmt::format("write kind = \"{}\"", meant->word);
        return refused;
    }
    refused.remedy = fmt::format("it is one of {}", role_words(roles));
    const auto kinds = kinds_meant(word);
    if (!kinds.empty() && is_of_a_gap(kinds.front())) {
        refused.remedy +=
            "; what light crosses stands below [choose], as gaps = [\"four-pin-coupler-b\"]";
    } else {
        refused.message += did_you_mean(word, words_of(roles));
    }
    return refused;
}

}  // namespace gapwright
