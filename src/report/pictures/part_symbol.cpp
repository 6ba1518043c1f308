#include "report/pictures/part_symbol.hpp"

#include <fmt/format.h>
#include <cmath>
#include <string>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "draw/picture.hpp"
#include "draw/symbols.hpp"
#include "link/link.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

Symbol receiver_symbol(Receiver receiver) {
    switch (receiver) {
        case Receiver::phototransistor:
            return Symbol::phototransistor;
        case Receiver::light_dependent_resistor:
            break;
    }
    return Symbol::light_dependent_resistor;
}

}  // namespace

Symbol symbol_of(const Description& d, Side side) {
    switch (d.kind) {
        case Kind::resistor:
            return Symbol::resistor;
        case Kind::capacitor:
            return Symbol::capacitor;
        case Kind::inductor:
            return Symbol::inductor;
        case Kind::contact:
            return Symbol::contact;
        case Kind::diode:
            return Symbol::diode;
        case Kind::led:
            return Symbol::led;
        case Kind::zener:
            return Symbol::zener;
        case Kind::transistor:
            return d.choice(Key::polarity, "npn") == "pnp" ? Symbol::pnp : Symbol::npn;
        case Kind::mosfet:
            return d.choice(Key::channel, "n") == "p" ? Symbol::p_mosfet : Symbol::n_mosfet;
        case Kind::coil:
            return Symbol::coil;
        case Kind::logic_output:
            return Symbol::logic_output;
        case Kind::logic_input:
            return Symbol::logic_input;
        case Kind::coupler:
        case Kind::pair:
            if (side == Side::input) return Symbol::led;
            return receiver_symbol(receiver_of(d));
        case Kind::phototransistor:
            return Symbol::phototransistor;
        case Kind::light_dependent_resistor:
            return Symbol::light_dependent_resistor;
        case Kind::battery:
            return Symbol::battery;
        case Kind::load:
            break;
    }
    return Symbol::load;
}

Picture card_picture(const Description& card) {
    constexpr double apart = 56;  // the halves of a gap
    constexpr Box outline{-20, -32, apart + 20, 32};
    const bool gap = card.kind == Kind::coupler || card.kind == Kind::pair;
    const std::string what(kind_rule(card.kind).name);
    Picture picture(what, "Symbol: " + what + ".");
    draw_symbol(picture, symbol_of(card, Side::input), {.centre = {0, 0}, .rays = !gap}, what);
    if (!gap) return picture;
    draw_symbol(picture, symbol_of(card, Side::output), {.centre = {apart, 0}}, what);
    if (card.kind == Kind::coupler) picture.rectangle(outline, "outline", 3);
    return picture;
}

std::string with_tolerance(const Spread& s, Dimension dimension) {
    std::string nominal = engineering_short(s.nominal, dimension);
    if (!s.varies() || s.nominal == 0) return nominal;
    const double up = (s.highest - s.nominal) / std::abs(s.nominal);
    const double down = (s.nominal - s.lowest) / std::abs(s.nominal);
    if (std::abs(up - down) < 1e-9) return fmt::format("{} ± {}", nominal, percent(up, 3));
    return fmt::format("{} ({} .. {})", nominal, engineering_short(s.lowest, dimension),
                       engineering_short(s.highest, dimension));
}

std::string part_value(const Part& part) {
    const Description& d = part.description;
    switch (d.kind) {
        case Kind::resistor:
            return d.value_to_choose
                       ? "to be chosen"
                       : with_tolerance(d.at(Key::value).spread, Dimension::resistance);
        case Kind::capacitor:
            return with_tolerance(d.at(Key::value).spread, Dimension::capacitance);
        case Kind::inductor:
            return with_tolerance(d.at(Key::value).spread, Dimension::inductance);
        case Kind::coil:
        case Kind::load:
            return with_tolerance(d.at(Key::resistance).spread, Dimension::resistance);
        case Kind::logic_output:
            return with_tolerance(d.at(Key::high).spread, Dimension::voltage);
        case Kind::pair:
            return d.receiver->card.empty() ? std::string(kind_rule(d.receiver->kind).name)
                                            : d.receiver->card;
        case Kind::contact:
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::logic_input:
        case Kind::coupler:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    if (!d.card.empty()) return d.card;
    if (const auto* forward = d.find(Key::forward)) {
        return fmt::format("{} at {}",
                           engineering_short(forward->spread.nominal, Dimension::voltage),
                           engineering_short(forward->conditions[0], Dimension::current));
    }
    return d.kind == Kind::contact ? "" : std::string(kind_rule(d.kind).name);
}

}  // namespace gapwright
