#include "card/assumed_limits.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "device/constants.hpp"

namespace gapwright {
namespace {

struct Row {
    Kind kind;
    Key key;
    double value;
    std::string_view reason;
    // Limits of which any, if it is stated, covers this one too.
    std::optional<Key> covered_by = {};
    std::optional<Key> also_covered_by = {};
};

constexpr auto rows = std::to_array<Row>({
    {Kind::resistor, Key::power, 0.1, "as chip resistors of 1.6 mm have, the smallest in wide use"},
    {Kind::resistor, Key::voltage, 75, "as chip resistors of 1.6 mm have"},
    {Kind::capacitor, Key::voltage, 6.3,
     "the least that electrolytic and ceramic ones are sold for"},
    {Kind::inductor, Key::current, 50e-3, "as small chokes have"},
    {Kind::contact, Key::current, 50e-3, "as push buttons for boards have"},
    {Kind::contact, Key::voltage, 30, "as contacts of switches and relays have for direct current"},
    {Kind::diode, Key::forward_current, 0.1, "as the smallest signal diodes have"},
    {Kind::diode, Key::reverse_voltage, 20, "as diodes with a metal barrier have"},
    {Kind::diode, Key::power, 0.2, "as diodes in the smallest packages have", Key::forward_current},
    {Kind::zener, Key::forward_current, 0.1, "as the smallest have", Key::power,
     Key::reverse_current},
    {Kind::zener, Key::power, 0.2, "as those in the smallest packages have", Key::reverse_current},
    {Kind::led, Key::reverse_voltage, 5, "as nearly every one has"},
    {Kind::led, Key::power, 60e-3, "as indicators of 3 mm have", Key::forward_current},
    {Kind::transistor, Key::collector_current, 0.1, "as small ones have"},
    {Kind::transistor, Key::base_current, 20e-3, "a fifth of what small ones carry",
     Key::collector_current},
    {Kind::transistor, Key::collector_emitter_voltage, 25, "as the least of the small ones have"},
    {Kind::transistor, Key::emitter_base_voltage, 5, "as nearly every one has"},
    {Kind::transistor, Key::power, 0.2, "as those in the smallest packages have"},
    {Kind::mosfet, Key::drain_current, 0.2, "as the smallest have"},
    {Kind::mosfet, Key::drain_source_voltage, 20, "as those for logic levels have"},
    {Kind::mosfet, Key::gate_source_voltage, 8, "as those for logic levels have"},
    {Kind::mosfet, Key::power, 0.3, "as those in the smallest packages have"},
    {Kind::logic_output, Key::source_limit, 4e-3, "as gates of the usual families have"},
    {Kind::logic_output, Key::sink_limit, 4e-3, "as gates of the usual families have"},
    {Kind::coupler, Key::forward_current, 50e-3, "as most couplers have"},
    {Kind::coupler, Key::reverse_voltage, 5, "as most couplers have"},
    {Kind::coupler, Key::power, 70e-3, "as most couplers have", Key::forward_current},
    {Kind::coupler, Key::receiver_power, 0.1, "as the smallest packages have"},
    {Kind::coupler, Key::collector_current, 50e-3, "as most couplers have"},
    {Kind::coupler, Key::collector_emitter_voltage, 30, "as couplers with six pins have"},
    {Kind::coupler, Key::emitter_collector_voltage, 5, "as most couplers have"},
    {Kind::phototransistor, Key::collector_current, 20e-3, "as those of 3 mm have"},
    {Kind::phototransistor, Key::collector_emitter_voltage, 30, "as most have"},
    {Kind::phototransistor, Key::emitter_collector_voltage, 5, "as most have"},
    {Kind::phototransistor, Key::power, 75e-3, "as those of 3 mm have"},
});

// Light-dependent resistors, by the diameter of their disc.
struct Disc {
    double diameter;  // m, at least
    double power;     // W
    double voltage;   // V
    std::string_view reason;
};
constexpr auto discs = std::to_array<Disc>({
    {20e-3, 0.5, 400, "as discs of 20 mm have"},
    {11e-3, 0.2, 250, "as discs of 11 mm have"},
    {7e-3, 0.1, 150, "as discs of 7 mm have"},
    {5e-3, 0.08, 100, "as discs of 5 mm have"},
    {0, 0.05, 100, "as the smallest discs have, of 4 mm"},
});

std::optional<AssumedLimit> disc_limit(const Description& d, Key key) {
    const auto* diameter = d.find(Key::diameter);
    const double size = diameter ? diameter->spread.lowest : 0;
    const auto disc = std::ranges::find_if(
        discs, [&](const Disc& one) { return size >= one.diameter * (1 - 1e-9); });
    if (key == Key::power) return AssumedLimit{disc->power, disc->reason};
    if (key == Key::voltage) return AssumedLimit{disc->voltage, disc->reason};
    return std::nullopt;
}

// Emitters of infrared stand more than indicators do.
std::optional<AssumedLimit> emitter_current(const Description& d) {
    if (d.find(Key::radiant_intensity))
        return AssumedLimit{50e-3, "as small infrared emitters have"};
    return AssumedLimit{20e-3, "as indicators of 3 mm have"};
}

// A relay pulls in at 70 to 75 % of its rated voltage, and stands 110 % of it when hot.
std::optional<AssumedLimit> coil_voltage(const Description& d) {
    const auto* pull_in = d.find(Key::pull_in);
    if (!pull_in || d.find(Key::power)) return std::nullopt;
    return AssumedLimit{pull_in->spread.nominal / 0.7 * 1.1,
                        "as coils have that pull in at 70 % of their rated voltage"};
}

std::optional<AssumedLimit> coil_power(const Description& d) {
    if (d.find(Key::pull_in) || d.find(Key::voltage)) return std::nullopt;
    return AssumedLimit{0.14, "as the smallest signal relays take"};
}

// Logic reads high from 70 % of its supply, and stands a tenth above it; inputs of controllers for
// 24 V, which read high from 10 V and more, stand twice that; 3.3 V is the least in wide use.
std::optional<AssumedLimit> logic_input_voltage(const Description& d) {
    const auto* high = d.find(Key::high_above);
    if (!high) return AssumedLimit{3.6, "as logic for 3.3 V has"};
    const double level = high->spread.nominal;
    if (level >= 10) {
        return AssumedLimit{2 * level, "as controllers' inputs for 24 V have"};
    }
    const double supply = level / 0.7 * 1.1;
    if (supply > 3.6) return AssumedLimit{supply, "as logic has that reads high from 70 %"};
    return AssumedLimit{3.6, "as logic for 3.3 V has"};
}

}  // namespace

std::optional<AssumedLimit> assumed_limit(const Description& description, Key key) {
    const Kind kind = description.kind;
    if (kind == Kind::light_dependent_resistor) return disc_limit(description, key);
    if (kind == Kind::led && key == Key::forward_current) return emitter_current(description);
    if (kind == Kind::coil && key == Key::voltage) return coil_voltage(description);
    if (kind == Kind::coil && key == Key::power) return coil_power(description);
    if (kind == Kind::logic_input && key == Key::voltage) return logic_input_voltage(description);
    const auto row = std::ranges::find_if(
        rows, [&](const Row& one) { return one.kind == kind && one.key == key; });
    if (row == rows.end()) return std::nullopt;
    for (const auto other : {row->covered_by, row->also_covered_by}) {
        if (other && description.find(*other)) return std::nullopt;
    }
    return AssumedLimit{row->value, row->reason};
}

std::optional<double> assumed_zero_rating_at(Kind kind) {
    switch (kind) {
        case Kind::diode:
        case Kind::zener:
        case Kind::transistor:
        case Kind::mosfet:
            return zero_celsius + 150;  // silicon
        case Kind::led:
        case Kind::coupler:
        case Kind::phototransistor:
            return zero_celsius + 100;  // in clear or black plastic
        case Kind::light_dependent_resistor:
            return zero_celsius + 70;
        case Kind::resistor:  // its kind states it
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::contact:
        case Kind::coil:
        case Kind::load:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::pair:
        case Kind::battery:
            break;
    }
    return std::nullopt;
}

}  // namespace gapwright
