#include "units/text_scanner.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <optional>
#include <string_view>
#include <system_error>

#include "source/utf8.hpp"

namespace gapwright {
namespace {

constexpr std::string_view minus_sign = "\u2212";

// Whether a unit's word ends at the start of this text.
bool ends_word(std::string_view text) {
    constexpr std::array<std::string_view, 6> marks = {"(", ")", ",", "+", "±", ".."};
    if (text.empty() || leading_space(text) > 0) return true;
    return std::ranges::any_of(marks, [&](std::string_view m) { return text.starts_with(m); });
}

}  // namespace

std::size_t leading_space(std::string_view text) {
    if (text.empty()) return 0;
    const auto [c, bytes] = code_point(text, 0);
    const bool space = c == U' ' || c == U'\t' || c == U'\u00A0' || c == U'\u202F' ||
                       c == U'\u205F' || c == U'\u3000' || (c >= U'\u2000' && c <= U'\u200A');
    return space ? bytes : 0;
}

void TextScanner::pass_spaces() {
    while (const std::size_t bytes = leading_space(rest())) at_ += bytes;
}

bool TextScanner::at_end() {
    pass_spaces();
    return at_ == text_.size();
}

bool TextScanner::take(std::string_view mark) {
    const std::size_t before = at_;
    pass_spaces();
    if (rest().starts_with(mark)) {
        at_ += mark.size();
        return true;
    }
    at_ = before;
    return false;
}

bool TextScanner::take_word(std::string_view wanted) {
    const std::size_t before = at_;
    pass_spaces();
    if (text(word()) == wanted) return true;
    at_ = before;
    return false;
}

TextStretch TextScanner::remainder() const {
    TextStretch place{.begin = at_, .end = text_.size()};
    while (place.end > place.begin) {
        std::size_t last = place.end - 1;
        while (last > place.begin && is_continuation_byte(text_[last])) --last;
        if (leading_space(text_.substr(last)) == 0) break;
        place.end = last;
    }
    return place;
}

TextStretch TextScanner::word() {
    const std::size_t begin = at_;
    while (!ends_word(rest())) ++at_;
    return {.begin = begin, .end = at_};
}

bool TextScanner::take_sign(std::size_t& at) const {
    const std::string_view text = text_.substr(at);
    if (text.starts_with(minus_sign)) {
        at += minus_sign.size();
        return true;
    }
    const bool minus = text.starts_with('-');
    if (minus || text.starts_with('+')) ++at;
    return minus;
}

// The exponent that stands at `at`, if one does; "5 eV" has none.
int TextScanner::exponent_at(std::size_t& at) const {
    if (at >= text_.size() || (text_[at] != 'e' && text_[at] != 'E')) return 0;
    std::size_t digits = at + 1;
    const bool negative = take_sign(digits);
    if (!digit_at(digits)) return 0;
    constexpr int beyond_doubles = 9999;
    int exponent = beyond_doubles;
    const auto [end, error] =
        std::from_chars(text_.data() + digits, text_.data() + text_.size(), exponent);
    exponent = error == std::errc{} ? std::min(exponent, beyond_doubles) : beyond_doubles;
    at = static_cast<std::size_t>(end - text_.data());
    return negative ? -exponent : exponent;
}

std::optional<WrittenNumber> TextScanner::number() {
    const std::size_t before = at_;
    pass_spaces();
    WrittenNumber number{.place = {.begin = at_, .end = at_}, .mantissa = {}};
    std::size_t at = at_;
    number.negative = take_sign(at);
    const std::size_t digits = at;
    while (digit_at(at)) ++at;
    const bool range_follows = text_.substr(at).starts_with("..");
    if (at < text_.size() && text_[at] == '.' && !range_follows) {
        ++at;
        while (digit_at(at)) ++at;
    }
    number.mantissa = text_.substr(digits, at - digits);
    if (number.mantissa.find_first_not_of('.') == std::string::npos) {  // no digit at all
        at_ = before;
        return std::nullopt;
    }
    number.exponent = exponent_at(at);
    number.place.end = at;
    at_ = at;
    return number;
}

std::string in_quotes(std::string_view text) {
    constexpr std::size_t longest = 40;
    if (text.size() <= longest) return '"' + std::string(text) + '"';
    std::size_t end = longest;
    while (end > 0 && is_continuation_byte(text[end])) --end;
    return '"' + std::string(text.substr(0, end)) + "…\"";
}

}  // namespace gapwright
