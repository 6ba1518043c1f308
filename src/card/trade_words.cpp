#include "card/trade_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "card/part_kind.hpp"
#include "card/trade_word_table.hpp"

namespace gapwright {
namespace {

// As the table writes words.
std::string plain(std::string_view word) {
    std::string result;
    for (const char c : word) {
        if (c == ' ' || c == '-' || c == '_' || c == '.') continue;
        result += c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c;
    }
    return result;
}

bool lists(std::string_view words, std::string_view word) {
    while (!words.empty()) {
        const auto end = std::min(words.find('|'), words.size());
        if (words.substr(0, end) == word) return true;
        words.remove_prefix(std::min(end + 1, words.size()));
    }
    return false;
}

const TradeWord* find(std::string_view plain_word) {
    if (plain_word.empty()) return nullptr;
    const auto rows = trade_word_table();
    const auto found = std::ranges::find_if(
        rows, [&](const TradeWord& row) { return lists(row.words, plain_word); });
    return found == rows.end() ? nullptr : &*found;
}

// How a kind is written there. In a link, a receiver stands in a pair and a battery is a supply.
std::string written(const TradeKind& meant, KindPlace place) {
    const Kind kind = kind_named(meant.kind)->kind;
    if (place == KindPlace::drawer) return std::string(meant.kind);
    if (place == KindPlace::option) return fmt::format("--kind \"{}\"", meant.kind);
    if (place == KindPlace::part && kind == Kind::battery) {
        return R"(supply = "9 V" below [input] or [output]: a battery is its side's supply)";
    }
    if (place == KindPlace::part && kind_rule(kind).card_only) {
        return fmt::format("{}: it receives in a pair", example_part(kind));
    }
    return fmt::format("kind = \"{}\"", meant.kind);
}

}  // namespace

const TradeWord* trade_word(std::string_view word) {
    constexpr std::size_t longest = 60;  // bytes
    if (word.size() > longest) return nullptr;
    std::string name = plain(word);
    if (const TradeWord* row = find(name)) return row;
    if (!name.ends_with('s')) return nullptr;
    name.pop_back();
    return find(name);
}

std::string_view kind_spelled(std::string_view word) {
    const std::string name = plain(word);
    constexpr std::array<std::string_view, 4> long_names = {"npn transistor", "pnp transistor",
                                                            "n-channel mosfet", "p-channel mosfet"};
    for (const std::string_view kind : long_names) {
        if (plain(kind) == name) return kind;
    }
    const auto rules = kind_rules();
    const auto found =
        std::ranges::find_if(rules, [&](const KindRule& rule) { return plain(rule.name) == name; });
    return found == rules.end() ? std::string_view() : found->name;
}

std::string kind_remedy(std::string_view word, KindPlace place) {
    if (const std::string_view kind = kind_spelled(word); !kind.empty()) {
        return "write " + written({.kind = kind, .what = {}}, place);
    }
    const TradeWord* row = trade_word(word);
    if (row == nullptr) return {};
    if (!row->note.empty()) return std::string(row->note);
    const auto& [first, second] = row->kinds;
    const auto explained = [&](const TradeKind& kind) {
        const std::string text = written(kind, place);
        return kind.what.empty() ? text : fmt::format("{} ({})", text, kind.what);
    };
    if (second.kind.empty()) return "write " + explained(first);
    return fmt::format("write {} or {}", explained(first), explained(second));
}

std::string_view example_part(Kind kind) {
    switch (kind) {
        case Kind::resistor:
            return R"({ kind = "resistor", value = "330 Ω" })";
        case Kind::capacitor:
            return R"({ kind = "capacitor", value = "100 nF" })";
        case Kind::inductor:
            return R"({ kind = "inductor", value = "10 µH" })";
        case Kind::contact:
            return R"({ kind = "contact" })";
        case Kind::diode:
            return R"({ card = "signal-diode" })";
        case Kind::led:
            return R"({ card = "red-led" })";
        case Kind::zener:
            return R"({ kind = "zener", zener_voltage = "5.1 V", forward = "0.7 V at 10 mA" })";
        case Kind::transistor:
            return R"({ card = "npn-small" })";
        case Kind::mosfet:
            return R"({ card = "n-mosfet-logic" })";
        case Kind::coil:
            return R"({ card = "relay-coil-12v" })";
        case Kind::load:
            return R"({ kind = "load", resistance = "1 kΩ" })";
        case Kind::logic_output:
            return R"({ card = "logic-output-5v" })";
        case Kind::logic_input:
            return R"({ card = "logic-input-5v" })";
        case Kind::coupler:
            return R"({ card = "four-pin-coupler-b" })";
        case Kind::pair:
        case Kind::phototransistor:
            return R"({ kind = "pair", emitter = "infrared-led", receiver = "infrared-receiver", distance = "10 mm" })";
        case Kind::light_dependent_resistor:
            return R"({ kind = "pair", emitter = "white-lamp-led", receiver = "ldr-5mm", distance = "10 mm" })";
        case Kind::battery:
            return R"({ card = "battery-9v" })";  // of a supply
    }
    return {};
}

}  // namespace gapwright
