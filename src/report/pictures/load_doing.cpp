#include "report/pictures/load_doing.hpp"

#include <cmath>
#include <optional>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"

namespace gapwright {
namespace {

constexpr double lit_current = 1e-4;  // A: an indicator is seen to glow (own choice)

Doing coil_does(const Description& coil, double current) {
    const auto* from = coil.find(Key::pull_in);
    const auto* until = coil.find(Key::drop_out);
    const double voltage = std::abs(current) * coil.at(Key::resistance).spread.nominal;
    if (from != nullptr && voltage >= from->spread.highest) {
        return {.active = true, .word = "pulled in"};
    }
    if (until != nullptr && voltage <= until->spread.lowest) return {.word = "let go"};
    return {.word = from == nullptr && until == nullptr ? "" : "between"};
}

Doing input_does(const Description& input, std::optional<double> pin) {
    const auto* low = input.find(Key::low_below);
    const auto* high = input.find(Key::high_above);
    if (!pin) return {};
    if (high != nullptr && *pin >= high->spread.highest) {
        return {.active = true, .word = "reads high"};
    }
    if (low != nullptr && *pin <= low->spread.lowest) return {.word = "reads low"};
    return {.word = low != nullptr || high != nullptr ? "between" : ""};
}

}  // namespace

Doing what_it_does(const Description& load, double current, std::optional<double> pin) {
    switch (load.kind) {
        case Kind::led:
            return {.active = current >= lit_current,
                    .word = current >= lit_current ? "lit" : "dark"};
        case Kind::coil:
            return coil_does(load, current);
        case Kind::load:
            return {.active = current != 0};
        case Kind::logic_input:
            return input_does(load, pin);
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::contact:
        case Kind::diode:
        case Kind::zener:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::logic_output:
        case Kind::coupler:
        case Kind::pair:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return {};
}

}  // namespace gapwright
