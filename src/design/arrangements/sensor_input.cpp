// An input for a sensor or contact at 24 V, as IEC 61131-2 describes it: a series resistor, the
// emitter, and a bleeder across it, which sets the threshold and takes what the sensor leaks.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <string_view>

#include "card/key.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/all.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"
#include "link/need.hpp"

namespace gapwright::arrangements {
namespace {

// What the standard asks, from memory: to be checked against it.
struct InputType {
    int type;
    std::string_view on;        // the sensor's voltage when on
    std::string_view off;       // and when off
    double leakage;             // A, of a sensor that is off, which must not turn the input on
    std::string_view leaks;     // the same as a figure of the contact
    std::string_view at_least;  // current of the input when on
    std::string_view at_most;
};
constexpr std::array<InputType, 3> input_types = {
    {{1, "15 .. 30 V", "-3 .. 5 V", 0.5e-3, "0.5 mA (0 .. 0.5 mA)", "2 mA", "15 mA"},
     {2, "11 .. 30 V", "-3 .. 5 V", 2e-3, "2 mA (0 .. 2 mA)", "6 mA", "30 mA"},
     {3, "11 .. 30 V", "-3 .. 5 V", 1.5e-3, "1.5 mA (0 .. 1.5 mA)", "2 mA", "15 mA"}}};

bool fits(const Circumstances& c) {
    return c.need.drive.input_type.has_value();
}

// The user's contact, leaking at least as much as the standard allows a sensor.
std::string contact_text(const Circumstances& c, const InputType& type) {
    const auto* stated = c.need.drive.description.find(Key::leakage);
    PartText text = c.need.drive.text;
    if (!stated || stated->spread.highest < type.leakage) {
        std::erase_if(text, [](const auto& entry) { return entry.first == "leakage"; });
        text.emplace_back("leakage", fmt::format("\"{}\"", type.leaks));
    }
    return table_text(text);
}

void draw(const Circumstances& c, Sketch& sketch) {
    const auto& type =
        *std::ranges::find(input_types, c.need.drive.input_type.value_or(1), &InputType::type);
    const std::string standard =
        fmt::format("type {} of IEC 61131-2 (from memory: check it)", type.type);
    sketch.part("P1",
                fmt::format("{{ kind = \"logic output\", high = \"{}\", low = \"{}\", resistance = "
                            "\"1 Ω\", source_limit = \"{}\", sink_limit = \"{}\" }}",
                            type.on, type.off, type.at_most, type.at_most),
                "the sensor's voltage, " + standard);
    sketch.part("S1", contact_text(c, type), "leaks at least what the standard allows");
    sketch.path(Side::input, fmt::format("supply > P1 > S1 > {} > sense", sketch.resistor()));
    sketch.path(Side::input, fmt::format("sense > {} > return", c.emitter_path()));
    sketch.path(Side::input, fmt::format("sense > {} > return", sketch.resistor()),
                "bleeder: takes what the sensor leaks");
    draw_indicator(c, sketch);
    sketch.state({.driven = true, .settings = "{ P1 = \"high\", S1 = \"closed\" }"});
    sketch.state({.driven = false, .settings = "{ P1 = \"low\", S1 = \"closed\" }"});
    sketch.state(
        {.driven = false, .settings = "{ P1 = \"high\", S1 = \"open\" }", .name = "leaking"});
    sketch.promise({.driven = true,
                    .lines = {{"current = \"S1\""},
                              {fmt::format("at_least = \"{}\"", type.at_least), standard},
                              {fmt::format("at_most = \"{}\"", type.at_most)}}});
}

}  // namespace

Arrangement sensor_input() {
    return {.name = "sensor input, bleeder across the emitter",
            .follows = true,
            .fits = fits,
            .draw = draw};
}

}  // namespace gapwright::arrangements
