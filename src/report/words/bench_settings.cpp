// How a link is set for the lines of a test sheet, in which conditions, and what to heed.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/meter.hpp"
#include "report/bench_report.hpp"
#include "report/words/bench_words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/extra_low_voltage.hpp"

namespace gapwright {
namespace {

std::vector<std::string> parts_of(const Link& link, std::initializer_list<Kind> kinds) {
    std::vector<std::string> names;
    for (const Part& part : link.parts) {
        if (std::ranges::find(kinds, part.description.kind) != kinds.end()) {
            names.push_back(part.name);
        }
    }
    return names;
}

constexpr std::string_view taken_off = "taken off";
constexpr std::string_view opened = "open";

// How a part is set while the power is off; empty where it stays as it is.
std::string_view without_power(Kind kind) {
    switch (kind) {
        // What drives or reads the link from outside has a supply of its own.
        case Kind::logic_output:
        case Kind::logic_input:
            return taken_off;
        case Kind::contact:
            return opened;
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::diode:
        case Kind::zener:
        case Kind::led:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::coupler:
        case Kind::pair:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::coil:
        case Kind::load:
        case Kind::battery:
            break;
    }
    return {};
}

std::string power_off(const Link& link) {
    std::string text = fmt::format("power off: supplies {}", taken_off);
    for (const std::string_view word : {taken_off, opened}) {
        std::vector<std::string> names;
        for (const Part& part : link.parts) {
            if (without_power(part.description.kind) == word) names.push_back(part.name);
        }
        if (!names.empty()) text += fmt::format("; {} {}", fmt::join(names, ", "), word);
    }
    return text;
}

std::string power_on(const Link& link, const std::string& state) {
    std::vector<std::string> words;
    if (const auto found = link.find_state(state)) {
        for (const auto& [part, setting] : link.states[*found].settings) {
            words.push_back(fmt::format("{} {}", link.parts[part].name, setting_word(setting)));
        }
    }
    return words.empty() ? "supplies on" : fmt::format("supplies on; {}", fmt::join(words, ", "));
}

std::string accuracy_words(const Accuracy& accuracy) {
    return fmt::format("± ({} + {} digits)", percent(accuracy.share), accuracy.digits);
}

double highest_voltage(const Link& link) {
    double highest = link.surroundings.working_voltage.value_or(0);
    for (const Side side : {Side::input, Side::output}) {
        if (const auto& supply = link.side(side).supply) {
            highest = std::max(highest, supply->at(Key::voltage).spread.highest);
        }
    }
    return highest;
}

}  // namespace

std::string setting_words(const Link& link, const Measurement& measurement) {
    return measurement.state == unpowered ? power_off(link) : power_on(link, measurement.state);
}

std::string supply_setting(const Measurement& measurement) {
    return measurement.state == unpowered ? std::string(taken_off) : "";
}

std::string part_setting(const Link& link, const Measurement& measurement, std::size_t part) {
    if (measurement.state == unpowered) {
        return std::string(without_power(link.parts[part].description.kind));
    }
    const auto state = link.find_state(measurement.state);
    if (!state) return {};
    for (const auto& [set, setting] : link.states[*state].settings) {
        if (set == part) return std::string(setting_word(setting));
    }
    return {};
}

std::vector<SheetSection> sheet_sections(const BenchAnswer& answer) {
    std::vector<SheetSection> sections;
    for (std::size_t k = 0; k < answer.sheet.lines.size(); ++k) {
        const Measurement& m = answer.dictionary.measurements[answer.sheet.lines[k].measurement];
        const bool off = m.state == unpowered;
        const std::string title = crosses_gap(m) ? "Isolation, from side to side"
                                  : off          ? "Unpowered"
                                                 : "State " + m.state;
        if (sections.empty() || sections.back().title != title) {
            sections.push_back({.title = title, .how = setting_words(answer.link, m), .lines = {}});
        }
        sections.back().lines.push_back(k);
    }
    return sections;
}

std::vector<std::string> band_conditions(const BenchAnswer& answer) {
    const Meter& meter = answer.dictionary.meter;
    const auto celsius = [](double kelvin) {
        return engineering_short(kelvin, Dimension::temperature, 3);
    };
    std::vector<std::string> lines = {
        fmt::format(
            "Meter: voltage {}, current {}, resistance {}; {} counts; {} on voltages; diode "
            "test {} open, {} short-circuited.",
            accuracy_words(meter.voltage), accuracy_words(meter.current),
            accuracy_words(meter.resistance), meter.counts,
            engineering_short(meter.input_resistance, Dimension::resistance),
            engineering_short(meter.junction_voltage, Dimension::voltage),
            engineering_short(meter.junction_current, Dimension::current)),
        fmt::format(
            "Bands: 99 % of good links at {} to {}, emitters {}, the meter's error "
            "included; where no card states a spread, one of our own choice.",
            celsius(answer.temperature.lowest), celsius(answer.temperature.highest),
            answer.age > 0 ? "aged " + engineering_short(answer.age, Dimension::time) : "new")};
    if (!parts_of(answer.link, {Kind::pair}).empty()) {
        lines.push_back(fmt::format(
            "Light on the open gap: {}.",
            engineering_range(answer.light.lowest, answer.light.highest, Dimension::illuminance)));
    }
    return lines;
}

std::vector<std::string> bench_cautions(const Link& link) {
    std::vector<std::string> lines;
    const double highest = highest_voltage(link);
    if (highest > extra_low_voltage) {
        lines.push_back(
            fmt::format("{} is above extra-low voltage (60 V d.c., 30 V r.m.s. a.c.): it can kill. "
                        "Local codes and licensed practice govern such work; this sheet does not "
                        "replace them.",
                        engineering_short(highest, Dimension::voltage)));
    } else if (!link.surroundings.working_voltage) {
        lines.emplace_back(
            "No working voltage between the sides is stated: measure only where both are within "
            "extra-low voltage (60 V d.c., 30 V r.m.s. a.c.).");
    }
    const bool stores = !parts_of(link, {Kind::capacitor}).empty();
    lines.push_back(
        fmt::format("Power off before every isolation, resistance and junction measurement{}.",
                    stores ? ", and wait until the voltage across each capacitor reads 0 V" : ""));
    lines.emplace_back(
        "Keep both leads of the meter on the same side: across the gap it joins the sides. Only "
        "the isolation measurement, with the power off, goes from side to side; where it finds a "
        "way across, do not switch on.");
    lines.emplace_back(
        "Switch on with a current limit or a fuse in each supply, and off again at once where "
        "something gets hot or a supply gives more than it should.");
    const auto moved = parts_of(link, {Kind::coil, Kind::load});
    if (!moved.empty()) {
        lines.push_back(fmt::format(
            "{} works while you measure: keep clear of what it moves or heats, and keep it on no "
            "longer than a reading takes.",
            fmt::join(moved, ", ")));
    }
    lines.emplace_back(
        "For a current, open the lead with the power off, and put the meter's lead back into its "
        "socket for voltages afterwards.");
    return lines;
}

}  // namespace gapwright
