#include "build/part_look.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <string_view>

#include "card/description.hpp"
#include "card/drawer.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "units/colour_bands.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/preferred.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// The tolerance on either side as a share; none where both sides differ.
std::optional<double> even_tolerance(const Spread& value) {
    if (!(value.nominal > 0)) return std::nullopt;
    const double above = value.highest / value.nominal - 1;
    const double below = 1 - value.lowest / value.nominal;
    constexpr double alike = 1e-9;
    if (std::abs(above - below) > alike) return std::nullopt;
    return above;
}

bool has_value(Kind kind) {
    return kind == Kind::resistor || kind == Kind::capacitor || kind == Kind::inductor;
}

void add_print(PartLook& look) {
    if (look.kind != Kind::resistor || !look.value) return;
    const auto tolerance = even_tolerance(*look.value);
    if (!tolerance) return;
    look.bands = colour_bands(look.value->nominal, *tolerance);
    look.marking = marking_code(look.value->nominal, *tolerance).value_or("");
}

// The figure by which one names a part without a card, where it was stated.
std::string main_figure(const Description& part) {
    for (const Key key : {Key::resistance, Key::voltage}) {
        const auto* figure = part.find(key);
        const auto* rule = find_key(kind_rule(part.kind), key);
        if (!figure || figure->assumed || !rule || rule->group == "limits") continue;
        return spread_text(figure->spread, rule->dimension);
    }
    return {};
}

// "4.7 kΩ ± 5 %, 0.25 W, 250 V": with the ratings that are stated.
std::string valued_text(const Description& part, const Spread& value) {
    const auto& rule = kind_rule(part.kind);
    std::string text = spread_text(value, find_key(rule, Key::value)->dimension);
    for (const Key limit : {Key::power, Key::voltage, Key::current}) {
        const auto* figure = part.find(limit);
        if (!figure) continue;
        text += ", " + engineering_short(figure->spread.nominal, find_key(rule, limit)->dimension);
    }
    return text;
}

}  // namespace

std::string spread_text(const Spread& value, Dimension dimension) {
    std::string nominal = engineering_short(value.nominal, dimension);
    if (!value.varies()) return nominal;
    if (const auto tolerance = even_tolerance(value)) {
        return fmt::format("{} ± {}", nominal, percent(*tolerance));
    }
    return fmt::format("{} ({})", nominal,
                       engineering_range(value.lowest, value.highest, dimension));
}

PartLook look_of(const Description& part) {
    PartLook look{.kind = part.kind,
                  .text = part.name,
                  .card = part.card,
                  .value = std::nullopt,
                  .power = std::nullopt,
                  .bands = std::nullopt,
                  .marking = {}};
    const auto* value = has_value(part.kind) ? part.find(Key::value) : nullptr;
    if (value) {
        look.value = value->spread;
        look.text = valued_text(part, value->spread);
        if (const auto* power = part.find(Key::power)) look.power = power->spread.nominal;
    }
    if (look.text.empty()) {
        const std::string figure = main_figure(part);
        // A supply that a link states in volts need not be a battery.
        look.text = part.kind == Kind::battery ? "supply" : std::string(kind_rule(part.kind).name);
        if (!figure.empty()) look.text += ", " + figure;
    }
    add_print(look);
    return look;
}

PartLook look_of(const DrawerRow& row, const std::string& name) {
    PartLook look{.kind = row.kind,
                  .text = name,
                  .card = row.card,
                  .value = row.value,
                  .power = row.power,
                  .bands = std::nullopt,
                  .marking = {}};
    if (row.value) {
        look.text = spread_text(*row.value, find_key(kind_rule(row.kind), Key::value)->dimension);
        if (row.power) look.text += ", " + engineering_short(*row.power, Dimension::power);
    }
    add_print(look);
    return look;
}

}  // namespace gapwright
