#include "build/steps.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <iterator>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "build/step_checks.hpp"
#include "build/step_words.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double most_of_thin_wire = 0.3;  // A

std::string plural_of(Kind kind) {
    switch (kind) {
        case Kind::resistor:
            return "Resistors";
        case Kind::capacitor:
            return "Capacitors";
        case Kind::inductor:
            return "Inductors";
        case Kind::diode:
            return "Diodes";
        case Kind::zener:
            return "Zener diodes";
        case Kind::led:
            return "LEDs";
        case Kind::transistor:
        case Kind::mosfet:
            return "Transistors";
        case Kind::contact:
        case Kind::coil:
        case Kind::load:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::coupler:
        case Kind::pair:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return "Other parts";
}

using BuildSteps = std::vector<BuildStep>;

std::string of(Side side) {
    return fmt::format("of the {} side", side_name(side));
}

BuildSteps broken_link(const Proof& proof) {
    if (proof.verdict != Verdict::broken) return {};
    return {{.title = "The link itself is broken",
             .lines = {"A promise or rating does not hold with every specimen (gapwright check). "
                       "Mend the link before you build it; what follows is for the link as it "
                       "stands."},
             .is_check = true}};
}

BuildSteps strips_cut(const Board& board) {
    const auto column = [&](int c) {
        std::string name = hole_name(board, Hole{c, 0});
        name.pop_back();
        return name;
    };
    BuildStep cutting{
        .title = "Cut the strips",
        .lines = {fmt::format("Take a board of {} strips with {} holes each, strips from left to "
                              "right.",
                              board.rows, board.columns),
                  fmt::format("Cut every strip at the holes of the columns {} and {}, with a "
                              "cutter or a 3.2 mm drill turned by hand, until no copper is left "
                              "about these holes or between them.",
                              column(board.gap_left + 1), column(board.gap_right - 1))}};
    BuildStep check{
        .title = "The cuts",
        .lines = {fmt::format("Meter on resistance, highest range, power off: on each strip from "
                              "column {} to column {} no reading. Look for slivers of copper with "
                              "a glass.",
                              column(board.gap_left), column(board.gap_right))},
        .is_check = true};
    cutting.cuts = check.cuts = true;
    cutting.from_below = check.from_below = true;
    return {cutting, check};
}

BuildSteps board_taken(const Board& board) {
    switch (board.kind) {
        case BoardKind::strip:
            return strips_cut(board);
        case BoardKind::grid:
            return {{.title = "Take the board",
                     .lines = {fmt::format("A board of {} rows with {} holes each, without copper: "
                                           "pads in the gap would shrink it.",
                                           board.rows, board.columns)}}};
        case BoardKind::solderless:
            break;
    }
    const auto broken = rail_break(board);
    const std::string where =
        broken ? fmt::format("at row {}, as on many boards of this size", *broken + 1)
               : "in the middle";
    return {
        {.title = "Take the board",
         .lines = {
             fmt::format("A solderless board of {} rows, its channel upright: row 1 at the top, "
                         "column a at the left.",
                         board.rows),
             fmt::format("Rails are told by their marks + and −, whichever lies outward on your "
                         "board: L+7 is row 7 of the left rail marked +. With a meter see that "
                         "each rail conducts from end to end; where it is broken {}, bridge it.",
                         where),
             "Sleeve bare legs that pass over a rail or another part."}}};
}

// Where wires are soldered underneath, something must stand in every hole that they end in.
BuildSteps pins_and_sockets(const Wiring& wiring, const Plan& plan) {
    if (plan.board.kind != BoardKind::grid) return {};
    std::vector<std::string> holes;
    std::vector<std::string> sockets;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const Body body = wiring.parts[k].footprint.body;
        if (body == Body::coupler) sockets.push_back(wiring.parts[k].name);
        if (body != Body::leads) continue;
        for (const Hole at : plan.holes[k]) holes.push_back(hole_name(plan.board, at));
    }
    BuildStep step{.title = "Solder pins and sockets",
                   .lines = {fmt::format("A solder pin into each hole where a lead will end: {}.",
                                         fmt::join(holes, ", "))}};
    if (!sockets.empty()) {
        step.lines.push_back(fmt::format(
            "A socket in place of {}: the coupler itself goes in last.", fmt::join(sockets, ", ")));
    }
    return {step};
}

// Joins nodes of one side; above the board where nothing is soldered underneath from point to
// point.
BuildSteps wires_of(const StepSources& sources, Side side) {
    const Plan& plan = sources.plan;
    const auto hole = [&](Hole at) { return hole_name(plan.board, at); };
    std::vector<std::size_t> wires;
    for (std::size_t w = 0; w < plan.wires.size(); ++w) {
        if (sources.wiring.nodes[plan.wires[w].node].side == side) wires.push_back(w);
    }
    if (wires.empty()) return {};
    const bool underneath = plan.board.kind == BoardKind::grid;
    BuildStep step{.title = fmt::format("{} {}", underneath ? "Wires" : "Links", of(side)),
                   .lines = {}};
    step.from_below = underneath;
    step.lines.push_back(
        underneath ? "Turn the board over, left to right. Bare wire from hole to hole, soldered at "
                     "each pin and wherever wires of one node meet; wires of two nodes never touch."
        : plan.board.kind == BoardKind::strip
            ? "Insulated wire above the board, flat on it, soldered below."
            : "Insulated solid wire, flat on the board.");
    const double most = steps::most_current(sources, side);
    if (most > most_of_thin_wire) {
        step.lines.push_back(fmt::format(
            "Up to {} flows here: wire of at least 0.5 mm²{} (common practice).",
            engineering_short(most, Dimension::current),
            plan.board.kind == BoardKind::solderless
                ? "; springs of solderless boards take about 1 A and grow warm before that"
                : ""));
    }
    for (const std::size_t w : wires) {
        const PlanWire& wire = plan.wires[w];
        step.lines.push_back(fmt::format("wire {}: {} to {}, {:.1f} mm{}", w + 1, hole(wire.from),
                                         hole(wire.to), length_of(wire) * 1e3,
                                         wire.insulated ? ", insulated: it crosses others" : ""));
    }
    step.wires = std::move(wires);
    return {step};
}

// What stands on the board on one side, in groups of like parts, low ones first.
BuildSteps parts_of(const StepSources& sources, Side side) {
    const Wiring& wiring = sources.wiring;
    std::map<std::pair<double, std::string>, std::vector<std::size_t>> groups;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const WiringPart& part = wiring.parts[k];
        const Part* behind = part_behind(sources.link, part);
        if (part.side != side || !behind || part.footprint.body == Body::leads ||
            part.footprint.body == Body::coupler) {
            continue;
        }
        groups[{part.footprint.height, plural_of(behind->description.kind)}].push_back(k);
    }
    BuildSteps all;
    for (const auto& [key, members] : groups) {
        std::string title = fmt::format("{} {}", key.second, of(side));
        if (std::ranges::find(all, title, &BuildStep::title) != all.end()) {
            title[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(title[0])));
            title.insert(0, "Larger ");
        }
        BuildStep step{.title = std::move(title), .lines = {}};
        step.parts = members;
        for (const std::size_t k : members) step.lines.push_back(steps::placing(sources, k));
        const bool mosfet = std::ranges::any_of(members, [&](std::size_t k) {
            return part_behind(sources.link, wiring.parts[k])->description.kind == Kind::mosfet;
        });
        if (mosfet) step.lines.push_back("Static kills its gate: touch the return first.");
        if (sources.plan.board.kind != BoardKind::solderless) {
            step.lines.push_back("Solder each leg underneath and cut off what is left.");
        }
        all.push_back(std::move(step));
    }
    return all;
}

// Of what stands beside the board: of the gap's halves, or of all else.
BuildSteps leads(const StepSources& sources, bool of_gap) {
    const auto& parts = sources.wiring.parts;
    BuildStep step{.title = of_gap ? "The halves of the gap" : "Leads", .lines = {}};
    for (std::size_t k = 0; k < parts.size(); ++k) {
        const Part* behind = part_behind(sources.link, parts[k]);
        const bool half = behind && behind->is_gap();
        if (parts[k].footprint.body == Body::leads && half == of_gap) step.parts.push_back(k);
    }
    if (step.parts.empty()) return {};
    if (!of_gap) {
        step.lines.push_back(
            "Supplies stay off; leads of the two sides leave on their own side and "
            "are not bundled together.");
    }
    for (const std::size_t k : step.parts) step.lines.push_back(steps::placing_lead(sources, k));
    for (const Part& part : sources.link.parts) {
        if (of_gap && part.description.kind == Kind::pair) {
            step.lines.push_back(steps::pair_words(part));
        }
    }
    return {step};
}

BuildSteps couplers(const StepSources& sources) {
    const auto& parts = sources.wiring.parts;
    std::vector<std::size_t> members;
    for (std::size_t k = 0; k < parts.size(); ++k) {
        if (parts[k].footprint.body == Body::coupler) members.push_back(k);
    }
    if (members.empty()) return {};
    BuildStep step{
        .title = members.size() == 1 ? "The coupler" : "The couplers",
        .lines = {"Supplies off. The dot or notch marks pin 1, which is the emitter's anode; "
                  "it stands on the input side, at the top."}};
    for (const std::size_t k : members) step.lines.push_back(steps::placing(sources, k));
    step.parts = std::move(members);
    return {step};
}

}  // namespace

std::vector<BuildStep> build_steps(const StepSources& sources) {
    BuildSteps all;
    const auto add = [&](BuildSteps more) { std::ranges::move(more, std::back_inserter(all)); };
    const bool grid = sources.plan.board.kind == BoardKind::grid;
    add(broken_link(sources.proof));
    add(board_taken(sources.plan.board));
    add(pins_and_sockets(sources.wiring, sources.plan));
    for (const Side side : {Side::input, Side::output}) {
        if (!grid) add(wires_of(sources, side));  // links lie flat: before the parts
        add(parts_of(sources, side));
        if (grid) add(wires_of(sources, side));
        add({steps::side_check(sources, side)});
    }
    add({steps::isolation_check(sources, "before anything is joined to them")});
    add(leads(sources, false));
    add(steps::first_power_checks(sources));
    add(couplers(sources));
    add(leads(sources, true));
    add({steps::gap_check(sources), steps::isolation_check(sources, "with the gap's parts in"),
         steps::first_use(sources)});
    return all;
}

}  // namespace gapwright
