#include "measuring/demo_part.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <cstdint>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "measuring/swept_part.hpp"
#include "population/specimen.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// The driven current comes from so high a voltage behind so high a resistance that the part cannot
// change it.
constexpr double drive_resistance = 1e9;  // Ω, R1 below

constexpr std::string_view bench_text = R"(
[input]
supply = "1 V"
paths = [{}]
[output]
supply = "5 V"
paths = [{}]
[parts]
S1 = {{ kind = "contact", closed_resistance = "0 Ω", open_resistance = "1e9 GΩ" }}
R1 = {{ kind = "resistor", value = "1 GΩ" }}
R2 = {{ kind = "resistor", value = "1 kΩ" }}
{}
[states]
on = {{ S1 = "closed" }}
)";
constexpr std::string_view fed_gap = R"("supply > R2 > U1 > return")";
constexpr std::string_view through_gap = R"("supply > S1 > R1 > U1 > return")";
constexpr std::string_view coupler = R"(U1 = { card = "four-pin-coupler-b" })";

// What stands in the place of the part until its card does.
struct DemoStage {
    std::string_view paths;
    std::string parts;
    std::string_view driven;  // the name of the part whose card is put in
    std::string_view fed_paths = fed_gap;
};

// A transistor's base is driven from its collector's supply behind R3, since a side has one supply.
DemoStage transistor_stage(const Description& transistor) {
    const bool pnp = transistor.choice(Key::polarity, "npn") == "pnp";
    return {
        through_gap,
        fmt::format("{}\nR3 = {{ kind = \"resistor\", value = \"1 MΩ\" }}\n"
                    "R4 = {{ kind = \"resistor\", value = \"1 MΩ\" }}\n"
                    "Q1 = {{ card = \"{}-small\" }}",
                    coupler, pnp ? "pnp" : "npn"),
        "Q1",
        pnp ? R"("supply > Q1 > R2 > return", "Q1.base > R3 > return", "supply > R4 > U1 > return")"
            : R"("supply > R2 > Q1 > return", "supply > R3 > Q1.base", "supply > R4 > U1 > return")"};
}

DemoStage stage_of(const SweptPart& swept) {
    switch (swept.way) {
        case SweptWay::forward:
            if (swept.part.kind == Kind::coupler) break;
            return {R"("supply > S1 > R1 > U1 > a", "a > D1 > return")",
                    fmt::format("{}\nD1 = {{ card = \"signal-diode\" }}", coupler), "D1"};
        case SweptWay::reverse:
            return {R"("supply > S1 > R1 > U1 > a", "return > D1 > a")",
                    fmt::format("{}\nD1 = {{ card = \"signal-diode\" }}", coupler), "D1"};
        case SweptWay::gain:
            return transistor_stage(swept.part);
        case SweptWay::transfer:
            break;
        case SweptWay::light:
            return {
                through_gap,
                swept.part.kind == Kind::light_dependent_resistor
                    ? R"(U1 = { kind = "pair", emitter = "white-lamp-led", receiver = "ldr-5mm", distance = "20 mm" })"
                    : R"(U1 = { kind = "pair", emitter = "infrared-led", receiver = "infrared-receiver", distance = "20 mm" })",
                "U1"};
    }
    return {through_gap, std::string(coupler), "U1"};
}

void put_in(const SweptPart& swept, Part& part) {
    if (swept.way != SweptWay::light) {
        part.description = swept.part;
        return;
    }
    part.description.emitter = std::make_shared<const Description>(*swept.emitter);
    part.description.receiver = std::make_shared<const Description>(swept.part);
    part.description.figures[Key::distance].spread = exactly(swept.distance);
}

}  // namespace

Expected<DemoPart> DemoPart::of(const SweptPart& swept, std::uint64_t seed) {
    const DemoStage stage = stage_of(swept);
    const std::string text = fmt::format(bench_text, stage.paths, stage.fed_paths, stage.parts);
    const CardShelf shipped_only({});  // what lies in a folder has no part in it
    auto link =
        read_link(std::make_shared<const SourceText>("simulated bench", text), shipped_only);
    if (!link) return std::unexpected(link.error());
    const std::size_t driven = *link->find_part(stage.driven);
    const std::size_t gap = *link->find_part("U1");
    put_in(swept, link->parts[driven]);
    auto circuit = build_circuit(*link);
    if (!circuit) return std::unexpected(circuit.error());
    DemoPart part;
    part.circuit_ = std::move(*circuit);
    part.values_ = draw_specimen(part.circuit_, ConditionRanges{}, seed, 0).values;
    part.through_base_ = swept.way == SweptWay::gain;
    part.backwards_ = swept.way == SweptWay::reverse;
    if (part.through_base_) {
        const auto& probes = *part.circuit_.of(driven, Side::output);
        part.drive_probe_ = *probes.control_voltage();
        part.received_probe_ = probes.current();
        part.drive_ = part.circuit_.find(figure_of(*link->find_part("R3"), Key::value)).value();
    } else {
        part.drive_probe_ = part.circuit_.of(driven, Side::input)->voltage();
        part.received_probe_ = part.circuit_.of(gap, Side::output)->current();
        part.drive_ = part.circuit_.find(supply_figure(Side::input, Key::voltage)).value();
    }
    part.feed_ = part.circuit_.find(supply_figure(Side::output, Key::voltage)).value();
    part.series_ = part.circuit_.find(figure_of(*link->find_part("R2"), Key::value)).value();
    return part;
}

std::optional<DemoAnswer> DemoPart::at(double current, const DemoFeed& feed) const {
    std::vector<double> values = values_;
    values[to_index(series_)] = feed.series;
    values[to_index(feed_)] = feed.voltage;
    if (!through_base_) {
        values[to_index(drive_)] = current * drive_resistance;
        return solved(std::move(values));
    }
    // Without a supply at the collector only the base has a current, which hardly asks for one
    // there.
    constexpr double any_feed = 5;  // V
    if (!(feed.voltage > 0)) values[to_index(feed_)] = any_feed;
    if (!(current > 0)) return DemoAnswer{};
    // The base's resistor, until the current is that asked for: its voltage hardly changes.
    constexpr double first_guess = 0.65;  // V
    std::optional<DemoAnswer> answer = DemoAnswer{.voltage = first_guess};
    for (int k = 0; k < 8 && answer; ++k) {
        const double across = values[to_index(feed_)] - answer->voltage;
        if (!(across > 0)) return std::nullopt;
        values[to_index(drive_)] = across / current;
        answer = solved(values);
    }
    if (answer && !(feed.voltage > 0)) answer->received = 0;
    return answer;
}

std::optional<DemoAnswer> DemoPart::solved(std::vector<double> values) const {
    const auto points = solve_link(circuit_.circuit, values, Conditions{});
    if (!points) return std::nullopt;
    const double voltage = measure(drive_probe_, points->front());
    return DemoAnswer{.voltage = backwards_ ? -voltage : voltage,
                      .received = measure(received_probe_, points->front())};
}

}  // namespace gapwright
