#include "units/typed_spread.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"
#include "units/typed_amount.hpp"
#include "units/unit_words.hpp"

namespace gapwright {
namespace {

class SpreadReader {
  public:
    SpreadReader(std::string_view text, const SpreadAsked& asked) : scanner_(text), asked_(asked) {}

    std::expected<TypedSpread, std::optional<TypedAmount>> read() {
        if (!read_all()) return std::unexpected(std::move(unread_));
        give_units();
        std::ranges::stable_sort(spread_.changes, {}, &TextError::begin);
        return std::move(spread_);
    }

  private:
    bool read_all() {
        scanner_.pass_spaces();
        spread_.place.begin = scanner_.at();
        if (!take(spread_.first, asked_.dimension) || !read_spread()) return false;
        for (const Dimension condition : asked_.conditions) {
            if (!read_condition(condition)) return false;
        }
        spread_.place.end = scanner_.at();
        return scanner_.at_end();
    }

    bool take(TypedAmount& amount, Dimension dimension) {
        auto read = typed_amount(scanner_, dimension, spread_.changes);
        if (!read) return false;
        amount = *std::move(read);
        if (amount.unread()) unread_ = amount;
        return !unread_;
    }
    bool take(std::optional<TypedAmount>& amount, Dimension dimension) {
        return take(amount.emplace(), dimension);
    }

    void changed(Cause cause, TextStretch place, std::string message) {
        spread_.changes.push_back({.cause = cause,
                                   .begin = place.begin,
                                   .end = place.end,
                                   .message = std::move(message),
                                   .remedy = {}});
    }

    // One of the marks; files take `right` alone.
    bool take_mark(std::span<const std::string_view> marks, std::string_view right,
                   std::string_view message) {
        for (const std::string_view mark : marks) {
            TextScanner ahead = scanner_;
            ahead.pass_spaces();
            const std::size_t begin = ahead.at();
            const bool word = mark.front() >= 'a' && mark.front() <= 'z';
            if (!(word ? ahead.take_word(mark) : ahead.take(mark))) continue;
            scanner_ = ahead;
            if (mark != right) {
                changed(Cause::not_a_quantity, {.begin = begin, .end = ahead.at()},
                        std::string(message));
            }
            return true;
        }
        return false;
    }

    bool take_range_mark() {
        static constexpr std::string_view marks[] = {"...", "..", "…",      "-", "–", "—",
                                                     "‒",   "~",  "\u2212", "÷", "to"};
        return take_mark(marks, "..", R"(between two limits stands "..")");
    }

    bool read_spread() {
        const Dimension dimension = asked_.dimension;
        if (scanner_.take("±") || scanner_.take("+-") || scanner_.take("+/-")) return read_half();
        if (scanner_.take("(")) {
            return take(spread_.lower, dimension) && take_range_mark() &&
                   take(spread_.upper, dimension) && scanner_.take(")");
        }
        if (take_range_mark()) return take(spread_.upper, dimension);
        return read_bare_tolerance();
    }

    bool read_half() {
        TextScanner ahead = scanner_;
        std::vector<TextError> ignored;
        const auto share = typed_amount(ahead, Dimension::ratio, ignored);
        const bool percent = share && !share->units.empty() && share->units.front().unit == "%";
        return take(spread_.half, percent ? Dimension::ratio : asked_.dimension);
    }

    // "470 Ω 5 %"; nothing but a tolerance can be meant.
    bool read_bare_tolerance() {
        if (asked_.dimension == Dimension::ratio) return true;
        TextScanner ahead = scanner_;
        if (asked_.conditions.empty()) ahead.take(",");
        std::vector<TextError> changes;
        const auto share = typed_amount(ahead, Dimension::ratio, changes);
        if (!share || share->alone() || share->unread()) return true;
        scanner_ = ahead;
        spread_.half = share;
        changed(Cause::not_a_quantity, share->place, R"(before a tolerance stands "±")");
        return true;
    }

    bool read_condition(Dimension dimension) {
        static constexpr std::string_view first[] = {"at", "@"};
        static constexpr std::string_view further[] = {",", ";", "and"};
        const bool stated = spread_.conditions.empty()
                                ? take_mark(first, "at", R"(before what it holds at stands "at")")
                                : take_mark(further, ",", "between what it holds at stand commas");
        return stated && take(spread_.conditions.emplace_back(), dimension);
    }

    // What the unit of an amount may be, its own or that which a number alone has.
    std::vector<UnitReading> units_of(const TypedAmount& amount) const {
        if (!amount.units.empty()) return amount.units;
        const double value = amount.value();
        const bool percent = asked_.percent && amount.dimension == Dimension::ratio;
        if (!percent) return readings_without_unit(value, amount.dimension);
        constexpr double whole = 100;
        if (value == 0 || value > 1) return {{.unit = "%"}};
        return {{.unit = "%", .factor = whole}, {.unit = "%"}};
    }

    // Gives a number alone its unit.
    void fill(TypedAmount& amount, std::vector<UnitReading> units, std::string message = {}) {
        if (!amount.alone()) return;
        amount.units = std::move(units);
        if (amount.units.size() == 1 && amount.units.front().unit.empty()) return;
        if (message.empty() && amount.dimension == Dimension::ratio) {
            message = "a share is stated in percent";
        } else if (message.empty()) {
            message = fmt::format("{} needs a unit", dimension_name(amount.dimension));
        }
        changed(Cause::missing_unit, amount.number.place, std::move(message));
    }

    void give_units() {
        auto& [place, first, lower, upper, half, conditions, changes] = spread_;
        if (upper) {
            TypedAmount& low = lower ? *lower : first;
            const TypedAmount& known = !low.alone()              ? low
                                       : lower && !first.alone() ? first
                                                                 : *upper;
            fill(*upper, units_of(known), low.alone() ? "" : "the upper limit needs the unit");
            // The unit stands with the upper limit where the lower has none, but not in a code.
            if (!upper->code.empty()) fill(low, units_of(*upper));
            if (low.alone() && upper->code.empty()) {
                low.units = upper->units;
                low.shows_unit = false;
            }
        }
        const TypedAmount* other = lower ? &*upper : half && is_absolute(*half) ? &*half : nullptr;
        if (lower || !upper) fill(first, units_of(other != nullptr ? *other : first));
        if (half) give_half();
        for (TypedAmount& condition : conditions) fill(condition, units_of(condition));
    }

    // A half that is in the nominal's unit, and says which that is.
    bool is_absolute(const TypedAmount& half) const {
        return half.dimension == asked_.dimension && half.dimension != Dimension::ratio &&
               !half.alone();
    }

    // A number alone behind "±" is in the nominal's unit or a share of it.
    void give_half() {
        TypedAmount& half = *spread_.half;
        if (!half.alone() || asked_.dimension == Dimension::ratio) return;
        const auto& own = spread_.first.units;
        half.units = {{.unit = "%"}};
        if (own.size() < 2) {
            half.units.push_back({.unit = own.empty() ? std::string(dimension_unit(half.dimension))
                                                      : own.front().unit});
        }
        changed(Cause::missing_unit, half.number.place, "a tolerance needs a unit");
    }

    TextScanner scanner_;
    SpreadAsked asked_;
    TypedSpread spread_;
    std::optional<TypedAmount> unread_;
};

}  // namespace

std::vector<const TypedAmount*> TypedSpread::amounts() const {
    std::vector<const TypedAmount*> all = {&first};
    for (const auto* amount : {&lower, &upper, &half}) {
        if (*amount) all.push_back(&**amount);
    }
    for (const TypedAmount& condition : conditions) all.push_back(&condition);
    return all;
}

std::string TypedSpread::text(std::size_t number, std::size_t unit) const {
    const auto of = [&](const TypedAmount& amount) { return amount.text(number, unit, false); };
    std::string result = of(first);
    if (lower && upper) {
        result += fmt::format(" ({} .. {})", of(*lower), of(*upper));
    } else if (upper) {
        result += fmt::format(" .. {}", of(*upper));
    } else if (half) {
        result += fmt::format(" ± {}", half->text(number, unit, true));
    }
    for (std::size_t k = 0; k < conditions.size(); ++k) {
        result += fmt::format("{}{}", k == 0 ? " at " : ", ", of(conditions[k]));
    }
    return result;
}

TypedSpread TypedSpread::with_limits_exchanged() const {
    TypedSpread other = *this;
    TypedAmount& low = other.lower ? *other.lower : other.first;
    std::swap(low, *other.upper);
    std::swap(low.shows_unit, other.upper->shows_unit);
    return other;
}

std::expected<TypedSpread, std::optional<TypedAmount>> typed_spread(std::string_view text,
                                                                    const SpreadAsked& asked) {
    return SpreadReader(text, asked).read();
}

}  // namespace gapwright
