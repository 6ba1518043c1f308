#include "build/step_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "board/board.hpp"
#include "board/wiring.hpp"
#include "build/part_look.hpp"
#include "build/steps.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "units/colour_bands.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// Pins stand from left to right for who looks at the face.
std::string_view face_of(const StepSources& s, std::size_t k) {
    const Hole first = s.plan.holes[k].front();
    const Hole last = s.plan.holes[k].back();
    if (last.row > first.row) return "left";
    if (last.row < first.row) return "right";
    return last.column > first.column ? "lower edge" : "upper edge";
}

// How to tell its ends apart.
std::string mark(const StepSources& s, std::size_t k) {
    const WiringPart& part = s.wiring.parts[k];
    const std::string& last = part.pins.back().name;
    switch (part.footprint.body) {
        case Body::axial:
            return last == "cathode" ? "; the band marks the cathode" : "; either way round";
        case Body::radial:
            if (last == "cathode") {
                return "; the short lead and the flat of the rim mark the cathode";
            }
            return last == "minus" ? "; the stripe marks minus" : "; either way round";
        case Body::in_line: {
            const Part* behind = part_behind(s.link, part);
            const bool stated = behind && !behind->description.choice(Key::pins, "").empty();
            return fmt::format("; its flat or printed face towards the {}{}", face_of(s, k),
                               stated ? ""
                                      : ". The order of its pins is assumed: where the data "
                                        "sheet says another, cross its legs to these holes");
        }
        case Body::coupler:
        case Body::leads:
            break;
    }
    return {};
}

std::string shroud_words(const Part& part) {
    const Figure* shroud = part.description.find(Key::shroud);
    if (!shroud || shroud->spread.nominal <= 0) return "";
    return fmt::format(", in a dark tube or shroud that lets in at most {} of the room's light",
                       percent(1 - shroud->spread.nominal, 2));
}

std::string receiver_lead_mark(Receiver receiver) {
    switch (receiver) {
        case Receiver::phototransistor:
            return "; which lead is the collector its data sheet says: its flat often marks the "
                   "collector, unlike an emitter's";
        case Receiver::light_dependent_resistor:
            break;
    }
    return "; either way round";
}

// What tells the leads of a part beside the board apart.
std::string lead_mark(const StepSources& s, const WiringPart& part) {
    const Part* behind = part_behind(s.link, part);
    if (!behind) return "";
    switch (behind->description.kind) {
        case Kind::pair:
            return part.side == Side::input
                       ? "; the long lead is the anode, the flat of the rim the cathode"
                       : receiver_lead_mark(receiver_of(behind->description));
        case Kind::contact:
            return "; either way round";
        case Kind::logic_output:
        case Kind::logic_input:
            if (part.pins.size() > 1) return "";  // its own return is among them
            return fmt::format("; its own return is that of the {} supply", side_name(part.side));
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::coil:
        case Kind::load:
        case Kind::coupler:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return "";
}

}  // namespace

const Part* part_behind(const Link& link, const WiringPart& part) {
    for (const std::string_view half : {"", " emitter", " receiver"}) {
        if (!part.name.ends_with(half)) continue;
        const auto found = link.find_part(part.name.substr(0, part.name.size() - half.size()));
        if (found && (half.empty() || link.parts[*found].is_gap())) return &link.parts[*found];
    }
    return nullptr;
}

std::string part_words(const Link& link, const WiringPart& part) {
    const Part* behind = part_behind(link, part);
    if (!behind) return {};
    const Description* described = &behind->description;
    if (described->kind == Kind::pair) {
        const auto& half = part.side == Side::input ? described->emitter : described->receiver;
        if (!half) return {};
        described = half.get();
    }
    const PartLook look = look_of(*described);
    if (!look.bands) return look.text;
    return fmt::format("{} ({})", look.text, colour_words(*look.bands));
}

namespace steps {

std::string placing(const StepSources& s, std::size_t k) {
    const WiringPart& part = s.wiring.parts[k];
    std::string where;
    const bool plain = part.pins[0].name == "1";
    for (std::size_t p = 0; p < part.pins.size(); ++p) {
        where += fmt::format("{}{}{}", p ? (p + 1 == part.pins.size() ? " and " : ", ") : "",
                             plain ? "" : part.pins[p].name + " into ",
                             hole_name(s.plan.board, s.plan.holes[k][p]));
    }
    const std::string words = part_words(s.link, part);
    return fmt::format("{}{}{}: {}{}{}", part.name, words.empty() ? "" : ", ", words,
                       plain ? "into " : "", where, mark(s, k));
}

std::string placing_lead(const StepSources& s, std::size_t k) {
    const WiringPart& part = s.wiring.parts[k];
    std::vector<std::string> pins;
    for (std::size_t p = 0; p < part.pins.size(); ++p) {
        const std::string pin = part.pins[p].name == "-" ? "−" : part.pins[p].name;
        pins.push_back(fmt::format("{} to {}", pin, hole_name(s.plan.board, s.plan.holes[k][p])));
    }
    const std::string words = part_words(s.link, part);
    return fmt::format("{}{}{}: {}{}", part.name, words.empty() ? "" : ", ", words,
                       fmt::join(pins, ", "), lead_mark(s, part));
}

std::string pair_words(const Part& part) {
    const Figure* distance = part.description.find(Key::distance);
    return fmt::format(
        "{}: emitter and receiver face each other, {} from front to front{}; no lead of one side "
        "comes nearer to one of the other than the sides do on the board.",
        part.name, distance ? engineering_short(distance->spread.nominal, Dimension::length) : "",
        shroud_words(part));
}

}  // namespace steps

}  // namespace gapwright
