#include <algorithm>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"
#include "design/needs/need_cards.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::string_view indicator_card = "red-led";

}  // namespace

const Spread& Circumstances::supply(Side side) const {
    return need.side(side).supply.at(Key::voltage).spread;
}

const Spread* Circumstances::drive_high() const {
    const auto* high = need.drive.description.find(Key::high);
    return high ? &high->spread : nullptr;
}

double Circumstances::emitter_current() const {
    constexpr double common = 10e-3;  // A, where the card states no forward voltage
    const auto* forward = gap.emitter->find(Key::forward);
    return forward ? forward->conditions.front() : common;
}

Spread Circumstances::emitter_forward() const {
    constexpr Spread common{1.2, 1.0, 1.4};  // V, infrared, where the card states none
    const auto* forward = gap.emitter->find(Key::forward);
    Spread sum = forward ? forward->spread : common;
    if (!indicator) return sum;
    const auto led = card(std::string(indicator_card));
    const auto* lit = led ? led->find(Key::forward) : nullptr;
    if (!lit) return sum;
    return {sum.nominal + lit->spread.nominal, sum.lowest + lit->spread.lowest,
            sum.highest + lit->spread.highest};
}

double Circumstances::load_current() const {
    const Description& load = need.load.description;
    constexpr double brightest = 2;  // an indicator's current over the least that is asked
    switch (need.load.kind) {
        case NeedLoad::Kind::coil:
        case NeedLoad::Kind::load:
            return supply(Side::output).highest / load.at(Key::resistance).spread.lowest;
        case NeedLoad::Kind::indicator:
            return brightest * *need.load.current;
        case NeedLoad::Kind::logic_input:
            return load.at(Key::leakage).spread.highest;
    }
    return 0;
}

bool Circumstances::receiver_switches() const {
    return receiver_rule(receiver_of(*gap.receiver)).through_or_shut;
}

std::shared_ptr<const Description> Circumstances::card(const std::string& name) const {
    return sound_card(shelf, name);
}

std::string Circumstances::switch_for_load(const std::vector<std::string>& cards, Key current_limit,
                                           Key voltage_limit) const {
    constexpr double burden = 0.5;  // of the rated current, common practice
    const auto carries = [&](const std::string& name) {
        const auto device = card(name);
        if (!device) return false;
        const auto* current = device->find(current_limit);
        const auto* voltage = device->find(voltage_limit);
        return (!current || load_current() <= burden * current->spread.nominal) &&
               (!voltage || supply(Side::output).highest <= voltage->spread.nominal);
    };
    const auto found = std::ranges::find_if(cards, carries);
    return found == cards.end() ? std::string() : *found;
}

void draw_drive(const Circumstances& c, Sketch& sketch) {
    const bool contact = c.need.drive.description.kind == Kind::contact;
    sketch.part(contact ? "S1" : "P1", table_text(c.need.drive.text));
    sketch.state(
        {.driven = true, .settings = contact ? "{ S1 = \"closed\" }" : "{ P1 = \"high\" }"});
    sketch.state({.driven = false, .settings = contact ? "{ S1 = \"open\" }" : "{ P1 = \"low\" }"});
}

void draw_indicator(const Circumstances& c, Sketch& sketch) {
    if (c.indicator) sketch.part("D3", card_text(indicator_card), "lit while the emitter is");
}

}  // namespace gapwright
