#include "page/point_settings.hpp"

#include <fmt/format.h>
#include <expected>
#include <functional>
#include <map>
#include <string>

#include "card/points.hpp"
#include "page/refusal.hpp"
#include "report/json/ordered_json.hpp"
#include "units/quantity.hpp"
#include "units/typed_quantity.hpp"

namespace gapwright {

Answered<double> point_quantity(const PointQuantity& rule, const std::string& text,
                                const std::string& where) {
    const auto written =
        rewrite_quantity(text, {.dimension = rule.dimension, .form = WantedQuantity::Form::value});
    const auto value = parse_quantity(written ? written->text : text, rule.dimension);
    if (!value) {
        return refused(422, fmt::format("{}: {}", where, value.error().message),
                       value.error().remedy);
    }
    return *value;
}

Answered<std::map<std::string, double, std::less<>>> point_settings(const Json& order) {
    std::map<std::string, double, std::less<>> settings;
    const Json stated = order.value("settings", Json::object());
    if (!stated.is_object()) return refused(400, "settings are no object");
    for (const auto& [name, text] : stated.items()) {
        const auto* rule = find_point_quantity(name);
        if (rule == nullptr || !text.is_string()) {
            return refused(422, fmt::format("points have no quantity \"{}\"", name));
        }
        if (text.get_ref<const std::string&>().empty()) continue;
        const auto value = point_quantity(*rule, text.get<std::string>(), std::string(rule->words));
        if (!value) return std::unexpected(value.error());
        settings[name] = *value;
    }
    return settings;
}

}  // namespace gapwright
