#include "units/unit_words.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "units/dimension.hpp"
#include "units/text_scanner.hpp"
#include "units/unit_table.hpp"
#include "units/unit_word_table.hpp"

namespace gapwright {
namespace {

bool is_capital(char c) {
    return c >= 'A' && c <= 'Z';
}

// As the table writes words: small letters in one spelling, without spaces and full stops.
std::string plain(std::string_view typed) {
    std::string result;
    for (std::size_t at = 0; at < typed.size();) {
        if (const std::size_t space = leading_space(typed.substr(at))) {
            at += space;
            continue;
        }
        const char c = typed[at++];
        if (c != '.') result += is_capital(c) ? static_cast<char>(c + ('a' - 'A')) : c;
    }
    constexpr std::pair<std::string_view, std::string_view> spellings[] = {
        {"\u03BC", "µ"}, {"\u2126", "Ω"}, {"ω", "Ω"},  {"\u2103", "°c"}, {"º", "°"},
        {"˚", "°"},      {"^2", "²"},     {"％", "%"}, {"″", "\""}};
    for (const auto& [written, meant] : spellings) {
        for (std::size_t at = 0; (at = result.find(written, at)) != std::string::npos;) {
            result.replace(at, written.size(), meant);
            at += meant.size();
        }
    }
    return result;
}

bool lists(std::string_view words, std::string_view word) {
    if (word.empty()) return false;
    while (!words.empty()) {
        const std::size_t end = std::min(words.find('|'), words.size());
        if (words.substr(0, end) == word) return true;
        words.remove_prefix(std::min(end + 1, words.size()));
    }
    return false;
}

// Whether a "m" that was typed may be that prefix. Who writes both small letters and capitals, or a
// lone "M", means what stands there; else both are meant where both are usual.
bool may_be_m(std::string_view typed, std::string_view meant, Dimension dimension) {
    const bool small = std::ranges::any_of(typed, [](char c) { return c >= 'a' && c <= 'z'; });
    const bool capitals = std::ranges::any_of(typed, is_capital);
    const bool both_usual = dimension == Dimension::resistance ||
                            dimension == Dimension::frequency ||
                            dimension == Dimension::signalling_rate;
    const bool literal = (small && capitals) || typed == "M";
    if (!literal) return meant == "m" || both_usual;
    if (typed.starts_with('m')) return meant == "m";
    return meant == "M" || !both_usual;
}

// The prefixes that the start of `written` may stand for, each with what follows it.
template <class Use>
void each_prefix(std::string_view typed, std::string_view written, Dimension dimension,
                 const Use& use) {
    for (const PrefixWord& prefix : prefix_words()) {
        if (!written.starts_with(prefix.word)) continue;
        if (prefix.word == "m" && !may_be_m(typed, prefix.meant, dimension)) continue;
        use(prefix.meant, written.substr(prefix.word.size()));
    }
}

void add(std::vector<UnitReading>& readings, UnitReading reading) {
    const bool known = std::ranges::any_of(readings, [&](const UnitReading& other) {
        return other.unit == reading.unit && other.factor == reading.factor;
    });
    if (!known) readings.push_back(std::move(reading));
}

UnitReading reading_of(const UnitWords& row, std::string_view prefix) {
    return {.unit = std::string(prefix) + std::string(row.unit),
            .factor = row.factor,
            .offset = row.offset,
            .why = row.why};
}

}  // namespace

std::vector<UnitReading> readings_of_unit(std::string_view typed, Dimension dimension) {
    constexpr std::size_t longest = 32;  // bytes
    std::vector<UnitReading> readings;
    if (typed.empty() || typed.size() > longest) return readings;
    if (const auto known = unit_meaning(typed, dimension); known && known->dimension == dimension) {
        readings.push_back({.unit = std::string(typed)});
        return readings;
    }
    const std::string written = plain(typed);
    for (const UnitWords& row : unit_words()) {
        if (row.dimension != dimension) continue;
        if (lists(row.words, written)) add(readings, reading_of(row, ""));
        if (row.prefixed == Prefixed::no) continue;
        each_prefix(typed, written, dimension, [&](std::string_view meant, std::string_view rest) {
            if (lists(row.words, rest)) add(readings, reading_of(row, meant));
        });
    }
    if (!readings.empty()) return readings;
    const AloneRow& alone = alone_row(dimension);
    each_prefix(typed, written, dimension, [&](std::string_view meant, std::string_view rest) {
        if (!rest.empty() || !alone.prefixes.contains(meant)) return;
        add(readings, {.unit = std::string(meant) + std::string(dimension_unit(dimension))});
    });
    return readings;
}

std::vector<UnitReading> readings_without_unit(double number, Dimension dimension) {
    const AloneRow& alone = alone_row(dimension);
    std::vector<UnitReading> readings;
    for (std::string_view rest = alone.units;;) {
        const std::size_t end = std::min(rest.find('|'), rest.size());
        readings.push_back({.unit = std::string(rest.substr(0, end))});
        if (end == rest.size() || number < alone.first_below) break;
        rest.remove_prefix(end + 1);
    }
    if (number == 0) readings = {{.unit = std::string(dimension_unit(dimension))}};
    return readings;
}

}  // namespace gapwright
