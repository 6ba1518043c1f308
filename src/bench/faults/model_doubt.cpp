#include "bench/faults/model_doubt.hpp"

#include <algorithm>
#include <memory>
#include <span>
#include <utility>
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "link/link.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

struct Doubt {
    Key key;
    double lowest, highest;  // factors on the nominal
};

// A factor of 2.5 on a junction's current moves its voltage by 24 mV.
constexpr Doubt of_transistors[] = {{Key::transport_current, 0.4, 2.5},
                                    {Key::collector_resistance, 0.5, 2},
                                    {Key::reverse_gain, 0.3, 4}};
constexpr Doubt of_junctions[] = {{Key::forward, 0.96, 1.04},
                                  {Key::saturation_current, 0.4, 2.5},
                                  {Key::series_resistance, 0.5, 2}};
constexpr Doubt of_contacts[] = {{Key::closed_resistance, 0.1, 5}, {Key::open_resistance, 0.2, 50}};
constexpr Doubt of_mosfets[] = {{Key::threshold, 0.85, 1.15}, {Key::transconductance, 0.6, 1.6}};

void add(Description& description, std::span<const Doubt> doubts) {
    for (const Doubt& doubt : doubts) {
        const auto found = description.figures.find(doubt.key);
        if (found == description.figures.end() || found->second.has_stated_spread()) continue;
        Spread& spread = found->second.spread;
        spread.lowest = std::min(spread.lowest, spread.nominal * doubt.lowest);
        spread.highest = std::max(spread.highest, spread.nominal * doubt.highest);
    }
}

void doubt(Description& description) {
    switch (description.kind) {
        case Kind::transistor:
        case Kind::phototransistor:
            return add(description, of_transistors);
        case Kind::coupler:
            add(description, of_transistors);
            return add(description, of_junctions);
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
            return add(description, of_junctions);
        case Kind::contact:
            return add(description, of_contacts);
        case Kind::mosfet:
            return add(description, of_mosfets);
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::coil:
        case Kind::load:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::pair:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            return;
    }
}

void doubt(std::shared_ptr<const Description>& half) {
    if (!half) return;
    auto own = std::make_shared<Description>(*half);
    doubt(*own);
    half = std::move(own);
}

}  // namespace

Link with_model_doubt(Link link) {
    for (Part& part : link.parts) {
        doubt(part.description);
        doubt(part.description.emitter);
        doubt(part.description.receiver);
    }
    return link;
}

}  // namespace gapwright
