#include "link/need_roles.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "card/trade_words.hpp"
#include "source/diagnostics.hpp"

namespace gapwright::reading {
namespace {

constexpr std::array<Role, 2> drives = {
    {{"logic output", Kind::logic_output, R"({ card = "logic-output-5v" })"},
     {"contact", Kind::contact, R"({ kind = "contact" })"}}};
constexpr std::array<Role, 4> loads = {
    {{"coil", Kind::coil, R"({ card = "relay-coil-24v" })"},
     {"indicator", Kind::led, R"({ kind = "indicator", card = "red-led", current = "5 mA" })"},
     {"logic input", Kind::logic_input, R"({ card = "logic-input-5v" })"},
     {"load", Kind::load, R"({ kind = "load", resistance = "1 kΩ", current = "10 mA" })"}}};

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
    return drives;
}

std::span<const Role> load_roles() {
    return loads;
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

}  // namespace gapwright::reading
