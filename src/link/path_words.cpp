#include "link/path_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>

#include "card/part_kind.hpp"
#include "card/trade_words.hpp"

namespace gapwright::reading {
namespace {

constexpr std::string_view returns[] = {
    "gnd",    "ground", "earth", "minus", "negative", "neg", "vss", "vee",  "0v",   "com",
    "common", "mass",   "agnd",  "dgnd",  "pgnd",     "v-",  "-",   "gnd1", "gnd2", "sgnd"};
constexpr std::string_view supplies[] = {"vcc",  "vdd",   "plus",  "positive", "pos",
                                         "v+",   "vplus", "vin",   "vs",       "vbat",
                                         "vbus", "+",     "power", "pwr",      "supply+"};
constexpr std::string_view batteries[] = {"battery", "bat", "batt", "cell", "psu"};

// What the letters before a number stand for, as parts are called on drawings.
struct Designator {
    std::string_view letters;
    Kind kind;
};
constexpr auto designators = std::to_array<Designator>({{"r", Kind::resistor},
                                                        {"c", Kind::capacitor},
                                                        {"d", Kind::diode},
                                                        {"led", Kind::led},
                                                        {"zd", Kind::zener},
                                                        {"q", Kind::transistor},
                                                        {"t", Kind::transistor},
                                                        {"tr", Kind::transistor},
                                                        {"k", Kind::coil},
                                                        {"rl", Kind::coil},
                                                        {"ry", Kind::coil},
                                                        {"s", Kind::contact},
                                                        {"sw", Kind::contact},
                                                        {"pb", Kind::contact},
                                                        {"u", Kind::coupler},
                                                        {"ok", Kind::coupler},
                                                        {"oc", Kind::coupler}});

std::string small(std::string_view name) {
    std::string result;
    for (const char c : name) {
        result += c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c;
    }
    return result;
}

// "+5V", "24v", "V5": a supply by its voltage.
bool is_voltage(std::string_view name) {
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    return name.find('v') != std::string_view::npos && std::ranges::any_of(name, digit) &&
           std::ranges::all_of(
               name, [&](char c) { return digit(c) || c == 'v' || c == '+' || c == '.'; });
}

std::string without_number(std::string word) {
    word.resize(word.find_last_not_of("0123456789") + 1);
    return word;
}

template <class Names>
bool holds(const Names& names, std::string_view name) {
    return std::ranges::find(names, name) != std::ranges::end(names);
}

std::optional<Kind> kind_of_name(std::string_view letters, bool numbered) {
    const auto known = std::ranges::find(designators, letters, &Designator::letters);
    if (known != designators.end() && (numbered || letters.size() > 1)) return known->kind;
    if (const auto kind = kind_named(kind_spelled(letters))) return kind->kind;
    const TradeWord* word = trade_word(letters);
    if (word == nullptr) return std::nullopt;
    const auto kind = kind_named(word->kinds.front().kind);
    if (!kind) return std::nullopt;
    // Nodes are called "input", "output" and "gate" as well.
    const bool logic = kind->kind == Kind::logic_output || kind->kind == Kind::logic_input;
    return logic ? std::nullopt : std::optional(kind->kind);
}

}  // namespace

std::string remedy_for_rail(std::string_view name) {
    const std::string word = small(name);
    if (holds(returns, word)) return "write return: so the minus of each side is called";
    if (holds(supplies, word) || is_voltage(word)) {
        return "write supply: so the plus of each side is called";
    }
    if (!holds(batteries, without_number(word))) return {};
    return "write supply in its place, and supply = \"9 V\" below [input] or [output]";
}

bool is_called_like_a_part(std::string_view name) {
    const std::string letters = without_number(small(name));
    return letters.size() < name.size() &&
           std::ranges::find(designators, letters, &Designator::letters) != designators.end();
}

std::string remedy_for_name(std::string_view name) {
    if (std::string rail = remedy_for_rail(name); !rail.empty()) return rail;
    const std::string letters = without_number(small(name));
    const auto kind = kind_of_name(letters, letters.size() < name.size());
    if (!kind || *kind == Kind::battery) return {};
    return fmt::format("declare it under [parts]: {} = {}", name, example_part(*kind));
}

}  // namespace gapwright::reading
