#include "instrument/answers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <expected>
#include <string>
#include <string_view>
#include <system_error>

namespace gapwright {
namespace {

constexpr std::size_t longest_shown = 40;

std::string_view trimmed(std::string_view text) {
    const auto is_space = [](char c) { return c == ' ' || c == '\t'; };
    while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
    while (!text.empty() && is_space(text.back())) text.remove_suffix(1);
    return text;
}

std::unexpected<std::string> no(std::string_view what, std::string_view answer) {
    const bool cut = answer.size() > longest_shown;
    return std::unexpected(
        fmt::format("\"{}{}\" is no {}", answer.substr(0, longest_shown), cut ? "…" : "", what));
}

std::size_t digits_at(std::string_view text, std::size_t at) {
    std::size_t end = at;
    while (end < text.size() && text[end] >= '0' && text[end] <= '9') ++end;
    return end - at;
}

// Digits, at most one point among or around them, perhaps an exponent; no sign.
bool is_unsigned_number(std::string_view text) {
    std::size_t at = digits_at(text, 0);
    std::size_t digits = at;
    if (at < text.size() && text[at] == '.') {
        const std::size_t more = digits_at(text, at + 1);
        digits += more;
        at += 1 + more;
    }
    if (digits == 0) return false;
    if (at < text.size() && (text[at] == 'E' || text[at] == 'e')) {
        ++at;
        if (at < text.size() && (text[at] == '+' || text[at] == '-')) ++at;
        const std::size_t power = digits_at(text, at);
        if (power == 0) return false;
        at += power;
    }
    return at == text.size();
}

}  // namespace

AnswerExpected<double> parse_number(std::string_view answer) {
    constexpr double overload = 9.9e37;
    std::string_view text = trimmed(answer);
    const bool negative = text.starts_with('-');
    if (negative || text.starts_with('+')) text.remove_prefix(1);
    if (!is_unsigned_number(text)) return no("number", answer);
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size()) return no("number", answer);
    if (value >= overload) return std::unexpected(std::string("the instrument is over its range"));
    return negative ? -value : value;
}

AnswerExpected<bool> parse_switch(std::string_view answer) {
    std::string text(trimmed(answer));
    std::ranges::transform(text, text.begin(),
                           [](char c) { return c >= 'a' && c <= 'z' ? char(c - 'a' + 'A') : c; });
    if (text == "0" || text == "OFF") return false;
    if (text == "1" || text == "ON") return true;
    return no("state of an output", answer);
}

AnswerExpected<ErrorEntry> parse_error_entry(std::string_view answer) {
    const std::string_view text = trimmed(answer);
    const std::size_t comma = std::min(text.find(','), text.size());
    std::string_view digits = trimmed(text.substr(0, comma));
    if (digits.starts_with('+')) digits.remove_prefix(1);
    ErrorEntry entry;
    const auto [end, error] =
        std::from_chars(digits.data(), digits.data() + digits.size(), entry.code);
    if (digits.empty() || error != std::errc() || end != digits.data() + digits.size()) {
        return no("entry of an error queue", answer);
    }
    // The text is part of it: a number alone may be the answer to another question.
    const std::string_view said = comma < text.size() ? trimmed(text.substr(comma + 1)) : "";
    if (said.size() < 2 || said.front() != '"' || said.back() != '"') {
        return no("entry of an error queue", answer);
    }
    entry.text = said.substr(1, said.size() - 2);
    return entry;
}

AnswerExpected<std::string> parse_identity(std::string_view answer) {
    const std::string_view text = trimmed(answer);
    if (text.empty() || parse_number(text) || parse_switch(text) || parse_error_entry(text)) {
        return no("identity of an instrument", answer);
    }
    return std::string(answer);
}

}  // namespace gapwright
