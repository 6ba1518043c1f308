#include "app/card_settings.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <expected>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/points.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {

Problems option_problem(Cause cause, std::string message, std::string remedy) {
    Diagnostic problem{.cause = cause, .place = {}, .message = {}, .remedy = {}};
    problem.message = std::move(message);
    problem.remedy = std::move(remedy);
    return only(std::move(problem));
}

std::string trimmed(std::string text) {
    text.erase(0, text.find_first_not_of(' '));
    text.erase(text.find_last_not_of(' ') + 1);
    return text;
}

Expected<std::pair<std::string, std::string>> stated_setting(const std::string& text,
                                                             std::string_view option,
                                                             std::string_view example) {
    const auto equals = text.find('=');
    if (equals == std::string::npos) {
        return std::unexpected(option_problem(Cause::not_a_quantity,
                                              fmt::format("{} \"{}\" has no =", option, text),
                                              fmt::format("write for example {}", example)));
    }
    return std::pair(trimmed(text.substr(0, equals)), trimmed(text.substr(equals + 1)));
}

Expected<std::pair<std::string, double>> stated_quantity(const std::string& text,
                                                         std::string_view option) {
    const auto stated =
        stated_setting(text, option, fmt::format("{} \"temperature = 25 °C\"", option));
    if (!stated) return std::unexpected(stated.error());
    const auto* quantity = find_point_quantity(stated->first);
    if (!quantity) return std::unexpected(unknown_quantity(stated->first, option));
    const auto value = parse_quantity(stated->second, quantity->dimension);
    if (!value) {
        return std::unexpected(option_problem(
            value.error().cause, fmt::format("{} \"{}\": {}", option, text, value.error().message),
            value.error().remedy));
    }
    return std::pair(stated->first, *value);
}

Problems unknown_quantity(const std::string& name, std::string_view option) {
    std::vector<std::string> names;
    for (const auto& quantity : point_quantities()) names.emplace_back(quantity.name);
    return option_problem(Cause::unknown_key,
                          fmt::format("{}: points have no quantity \"{}\"{}", option, name,
                                      did_you_mean(name, names)),
                          fmt::format("they are {}", fmt::join(names, ", ")));
}

}  // namespace gapwright
