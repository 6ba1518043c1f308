#include "report/words/card_words.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "device/constants.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// A life as data sheets state it, "100000 h"; none where the hours are not round.
std::optional<double> round_hours(double seconds) {
    constexpr double hour = 3600;
    constexpr double step = 100;
    const double steps = seconds / (step * hour);
    const bool whole = std::abs(steps - std::round(steps)) < 1e-6;
    return steps >= 1 && whole ? std::optional(step * std::round(steps)) : std::nullopt;
}

}  // namespace

std::string key_value(const KeyRule& rule, double value, int digits) {
    if (rule.key == Key::ctr) return percent(value, digits);
    if (rule.dimension == Dimension::ratio) return fmt::format("{:.{}g}", value, digits);
    if (rule.group == "life" && rule.dimension == Dimension::time) {
        if (const auto hours = round_hours(value)) return fmt::format("{:.0f} h", *hours);
    }
    return engineering_short(value, rule.dimension, digits);
}

std::string figure_words(const KeyRule& rule, const Figure& figure) {
    std::string text = key_value(rule, figure.spread.nominal);
    if (figure.spread.varies()) {
        text += fmt::format(" ({} … {})", key_value(rule, figure.spread.lowest),
                            key_value(rule, figure.spread.highest));
    }
    for (std::size_t k = 0; k < figure.conditions.size() && k < rule.conditions.size(); ++k) {
        text +=
            (k == 0 ? " at " : ", ") + engineering_short(figure.conditions[k], rule.conditions[k]);
    }
    return text;
}

std::string key_example(const KeyRule& rule) {
    if (rule.form == Form::choice || rule.form == Form::description) return "";
    std::string quantity(dimension_first_example(rule.dimension));
    if (rule.form != Form::quantity_at || rule.conditions.empty()) return quantity;
    return fmt::format("{} at {}", quantity, dimension_first_example(rule.conditions.front()));
}

double json_value(Dimension dimension, double value) {
    return dimension == Dimension::temperature ? value - zero_celsius : value;
}

std::string difference_words(double share) {
    if (!std::isfinite(share)) return "";
    const double size = 100 * std::abs(share);
    if (size >= 1000) return fmt::format("× {:.3g}", 1 + share);
    return fmt::format("{}{:.{}f} %", share < 0 ? "−" : "+", size, size < 10 ? 1 : 0);
}

}  // namespace gapwright
