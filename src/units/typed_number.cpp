#include "units/typed_number.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "source/diagnostics.hpp"
#include "units/decimal.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"

namespace gapwright {
namespace {

constexpr std::size_t group_of_three = 3;

bool is_digit(std::string_view text, std::size_t at) {
    return at < text.size() && text[at] >= '0' && text[at] <= '9';
}

std::size_t digits_from(std::string_view text, std::size_t at) {
    std::size_t end = at;
    while (is_digit(text, end)) ++end;
    return end - at;
}

// Digits and what stands before them: a point, a comma or a space; nothing before the first.
struct Group {
    char mark = '\0';
    std::string_view digits = {};
};

// Digits with the marks between them, as they stand.
class Figure {
  public:
    // Bytes that it takes of the text's start; 0 where no number starts there.
    std::size_t read(std::string_view text) {
        std::size_t at = digits_from(text, 0);
        groups_.push_back({.digits = text.substr(0, at)});
        while (const std::size_t bytes = take_group(text, at)) at += bytes;
        const bool point_at_end = groups_.size() == 1 && at > 0 && at < text.size() &&
                                  text[at] == '.' && !text.substr(at).starts_with("..");
        return point_at_end ? at + 1 : at;
    }

    bool ends_in_decimal_comma() const {
        return groups_.back().mark == ',' && readings().size() == 1 &&
               readings().front().contains('.');
    }
    bool plain() const { return count('.') <= 1 && count('.') + 1 == groups_.size(); }
    bool only_digits() const { return groups_.size() == 1; }

    // What it may stand for, with a point before decimals; empty: no number.
    std::vector<std::string> readings() const {
        if (plain()) return {whole(groups_.size() - 1)};
        const char last = groups_.back().mark;
        const bool of_one_kind = count(last) + 1 == groups_.size();
        if (!of_one_kind) {  // the last mark is the decimal one, the others stand between thousands
            const bool thousands = last != ' ' && count(last) == 1 && in_thousands(1);
            return thousands ? std::vector{whole(groups_.size() - 1)} : std::vector<std::string>{};
        }
        if (last == ',' && groups_.size() == 2) {
            std::vector<std::string> found = {whole(1)};
            if (in_thousands(0)) found.push_back(whole(2));
            return found;
        }
        return in_thousands(0) ? std::vector{whole(groups_.size())} : std::vector<std::string>{};
    }

  private:
    // A mark at `at` and the digits behind it.
    std::size_t take_group(std::string_view text, std::size_t at) {
        const std::size_t space = leading_space(text.substr(at));
        if (space > 0 && at > 0) {
            const std::size_t digits = digits_from(text, at + space);
            const bool after_digits = groups_.back().digits.size() <= group_of_three;
            if (digits != group_of_three || !after_digits || count('.') + count(',') > 0) return 0;
            groups_.push_back({.mark = ' ', .digits = text.substr(at + space, digits)});
            return space + digits;
        }
        const bool mark = at < text.size() && (text[at] == '.' || text[at] == ',');
        if (!mark || !is_digit(text, at + 1)) return 0;
        const std::size_t digits = digits_from(text, at + 1);
        groups_.push_back({.mark = text[at], .digits = text.substr(at + 1, digits)});
        return 1 + digits;
    }

    std::size_t count(char mark) const {
        return static_cast<std::size_t>(std::ranges::count(groups_, mark, &Group::mark));
    }

    // Whether all groups but the last `but` are thousands: three digits behind one to three, of
    // which the first is no zero.
    bool in_thousands(std::size_t but) const {
        const std::string_view first = groups_.front().digits;
        if (first.empty() || first.size() > group_of_three || first.front() == '0') return false;
        return std::all_of(groups_.begin() + 1, groups_.end() - static_cast<std::ptrdiff_t>(but),
                           [](const Group& g) { return g.digits.size() == group_of_three; });
    }

    // All digits, with a point before those of group `decimals`.
    std::string whole(std::size_t decimals) const {
        std::string text;
        for (std::size_t k = 0; k < groups_.size(); ++k) {
            if (k > 0 && k == decimals) text += text.empty() ? "0." : ".";
            text += groups_[k].digits;
        }
        return text;
    }

    std::vector<Group> groups_;
};

// Exact decimals of a fraction; none where it has no short ones.
std::optional<std::string> decimals_of(std::string_view above, std::string_view below) {
    constexpr std::size_t longest = 4;
    constexpr int significant = 9;
    constexpr double alike = 1e-11;
    if (above.size() > longest || below.size() > longest) return std::nullopt;
    const auto a = decimal_value(above, 0);
    const auto b = decimal_value(below, 0);
    if (!a || !b || !(*a > 0) || !(*b > 0)) return std::nullopt;
    std::string text = positional(rounded(*a / *b, significant));
    if (text.contains('.')) text.resize(text.find_last_not_of('0') + 1);
    if (text.ends_with('.')) text.pop_back();
    const auto back = decimal_value(text, 0);
    if (!back || std::abs(*back * *b - *a) > alike * *a) return std::nullopt;
    return text;
}

// "¼" at the start of a text, as decimals.
std::pair<std::string_view, std::size_t> one_character(std::string_view text) {
    constexpr std::pair<std::string_view, std::string_view> characters[] = {
        {"¼", "0.25"}, {"½", "0.5"}, {"¾", "0.75"}, {"⅛", "0.125"}};
    for (const auto& [written, meant] : characters) {
        if (text.starts_with(written)) return {meant, written.size()};
    }
    return {"", 0};
}

TextError changed(std::string message) {
    return {.cause = Cause::not_a_quantity, .message = std::move(message), .remedy = {}};
}

// Exponent at the start of a text, bytes.
std::size_t exponent_at(std::string_view text) {
    if (!text.starts_with('e') && !text.starts_with('E')) return 0;
    constexpr std::array<std::string_view, 3> signs = {"-", "+", "\u2212"};
    std::size_t at = 1;
    for (const std::string_view sign : signs) {
        if (text.substr(at).starts_with(sign)) {
            at += sign.size();
            break;
        }
    }
    const std::size_t digits = digits_from(text, at);
    return digits == 0 ? 0 : at + digits;
}

// What stands at the start of `text`, without a sign, and how many bytes it takes.
std::size_t read_unsigned(std::string_view text, TypedNumber& number) {
    if (const auto [meant, bytes] = one_character(text); bytes > 0) {
        number.texts = {std::string(meant)};
        number.fraction = true;
        number.change = changed("a fraction is written as a decimal number");
        return bytes;
    }
    Figure figure;
    std::size_t at = figure.read(text);
    if (at == 0) return 0;
    number.texts = figure.readings();
    if (!figure.plain()) {
        number.change =
            changed(figure.ends_in_decimal_comma() ? "a point, not a comma, stands before decimals"
                                                   : "the digits of a number stand together");
    }
    if (const std::size_t bytes = exponent_at(text.substr(at))) {
        for (std::string& one : number.texts) one += text.substr(at, bytes);
        return at + bytes;
    }
    if (!figure.only_digits() || !text.substr(at).starts_with('/')) return at;
    const std::size_t below = digits_from(text, at + 1);
    if (below == 0) return at;
    const auto decimals = decimals_of(text.substr(0, at), text.substr(at + 1, below));
    number.texts.clear();
    if (decimals) number.texts.push_back(*decimals);
    number.fraction = true;
    number.change = changed("a fraction is written as a decimal number");
    return at + 1 + below;
}

}  // namespace

std::optional<TypedNumber> typed_number(TextScanner& scanner) {
    TextScanner ahead = scanner;
    ahead.pass_spaces();
    TypedNumber number{.place = {.begin = ahead.at(), .end = ahead.at()}, .texts = {}};
    std::string sign;
    for (const std::string_view mark : {"-", "+", "\u2212"}) {
        if (!sign.empty() || !ahead.rest().starts_with(mark)) continue;
        sign = mark;
        ahead.pass(mark.size());
        if (leading_space(ahead.rest()) > 0) {
            number.change = changed("the sign stands before the digits, without a space");
            ahead.pass_spaces();
        }
    }
    const auto spaced_sign = number.change;
    const std::size_t bytes = read_unsigned(ahead.rest(), number);
    if (bytes == 0) return std::nullopt;
    ahead.pass(bytes);
    number.place.end = ahead.at();
    for (std::string& text : number.texts) text.insert(0, sign);
    if (spaced_sign) number.change = spaced_sign;
    if (number.change) {
        number.change->begin = number.place.begin;
        number.change->end = number.place.end;
    }
    scanner = ahead;
    return number;
}

}  // namespace gapwright
