#include "bench/faults/misplaced.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "bench/faults/fault.hpp"
#include "bench/faults/rejoined.hpp"
#include "board/board.hpp"
#include "board/joined_pins.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "link/link.hpp"

namespace gapwright {
namespace {

// Of each neighbouring hole, against an open joint (own choice): less often than a joint is missed,
// since a builder looks at holes; about as often for four neighbours as for a part reversed.
constexpr double one_hole_off = 0.15;

constexpr Hole steps[] = {{-1, 0}, {1, 0}, {0, -1}, {0, 1}};

Hole moved(Hole hole, Hole by) {
    return {hole.column + by.column, hole.row + by.row};
}

// "R1's lead", "D1's cathode": which of two leads that have no name, the holes say.
std::string pin_name(const WiringPart& part, const WiringPin& pin) {
    const bool nameless = pin.name == "1" || pin.name == "2";
    const bool supply = pin.name == "+" || pin.name == "-";
    return fmt::format("{}{}'s {}{}", supply ? "the " : "", part.name, nameless ? "lead" : pin.name,
                       supply ? " lead" : "");
}

// A plan with one thing in a wrong hole.
struct Slip {
    Plan plan;
    const WiringPart* part = nullptr;  // that stands wrong; none: a wire
    std::string suspect = {};          // the fault in words
};

// Holes that something stands in.
std::set<Hole> taken_holes(const Plan& plan) {
    std::set<Hole> taken;
    for (const auto& part : plan.holes) taken.insert(part.begin(), part.end());
    if (plan.board.kind == BoardKind::grid) return taken;
    for (const PlanWire& wire : plan.wires) taken.insert({wire.from, wire.to});
    return taken;
}

void move_pins(const WiringPart& part, std::size_t k, const Plan& plan, const std::set<Hole>& taken,
               std::vector<Slip>& slips) {
    for (std::size_t p = 0; p < plan.holes[k].size(); ++p) {
        const Hole right = plan.holes[k][p];
        for (const Hole step : steps) {
            const Hole wrong = moved(right, step);
            if (!has_hole(plan.board, wrong) || taken.contains(wrong)) continue;
            Slip slip{plan, &part,
                      fmt::format("{} stands in {}, not in {}", pin_name(part, part.pins[p]),
                                  hole_name(plan.board, wrong), hole_name(plan.board, right))};
            slip.plan.holes[k][p] = wrong;
            slips.push_back(std::move(slip));
        }
    }
}

// Its pins are a stiff body's: it fits between rows of holes or not at all.
void move_coupler(const WiringPart& part, std::size_t k, const Plan& plan,
                  const std::set<Hole>& taken, std::vector<Slip>& slips) {
    const auto& right = plan.holes[k];
    for (const Hole step : steps) {
        Slip slip{plan, &part};
        auto& holes = slip.plan.holes[k];
        for (Hole& hole : holes) hole = moved(hole, step);
        const bool fits = std::ranges::all_of(holes, [&](Hole hole) {
            return (has_hole(plan.board, hole) && !taken.contains(hole)) ||
                   std::ranges::find(right, hole) != right.end();
        });
        if (!fits) continue;
        slip.suspect =
            fmt::format("{} stands with {} in {}, not in {}", part.name, part.pins[0].name,
                        hole_name(plan.board, holes[0]), hole_name(plan.board, right[0]));
        slips.push_back(std::move(slip));
    }
}

void move_end(std::size_t w, Hole PlanWire::* end, const Plan& plan, const std::set<Hole>& taken,
              std::vector<Slip>& slips) {
    const PlanWire& wire = plan.wires[w];
    const auto name = [&](Hole hole) { return hole_name(plan.board, hole); };
    for (const Hole step : steps) {
        const Hole wrong = moved(wire.*end, step);
        // Under a grid board wires end at pins, so that a wrong pin is near at hand.
        const bool fits = has_hole(plan.board, wrong) &&
                          (plan.board.kind == BoardKind::grid || !taken.contains(wrong));
        if (!fits || wrong == wire.from || wrong == wire.to) continue;
        Slip slip{plan, nullptr,
                  fmt::format("the wire from {} to {} ends in {}, not in {}", name(wire.from),
                              name(wire.to), name(wrong), name(wire.*end))};
        slip.plan.wires[w].*end = wrong;
        slips.push_back(std::move(slip));
    }
}

std::vector<Slip> slips_of(const Wiring& wiring, const Plan& plan) {
    const std::set<Hole> taken = taken_holes(plan);
    std::vector<Slip> slips;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const WiringPart& part = wiring.parts[k];
        const bool coupler = part.footprint.body == Body::coupler;
        (coupler ? move_coupler : move_pins)(part, k, plan, taken, slips);
    }
    for (std::size_t w = 0; w < plan.wires.size(); ++w) {
        for (Hole PlanWire::* end : {&PlanWire::from, &PlanWire::to}) {
            move_end(w, end, plan, taken, slips);
        }
    }
    return slips;
}

// What is joined where everything stands as it should.
PinGroups right_groups(const Wiring& wiring) {
    PinGroups groups;
    std::size_t alone = wiring.nodes.size();
    for (const WiringPart& part : wiring.parts) {
        auto& pins = groups.emplace_back();
        for (const WiringPin& pin : part.pins) pins.push_back(pin.node ? *pin.node : alone++);
    }
    return groups;
}

}  // namespace

std::vector<Fault> misplaced_faults(const Link& link, const Wiring& wiring, const Plan& plan) {
    std::vector<Fault> faults;
    // By what is joined: which fault it is; none where it is as it should be.
    std::map<std::vector<std::size_t>, std::optional<std::size_t>> known = {
        {in_order(wiring, right_groups(wiring)), std::nullopt}};
    for (Slip& slip : slips_of(wiring, plan)) {
        const PinGroups groups = joined_pins(slip.plan);
        const auto [same, is_new] = known.emplace(in_order(wiring, groups), faults.size());
        if (!is_new) {
            if (same->second) faults[*same->second].weight += one_hole_off;
            continue;
        }
        const auto part = slip.part ? part_of(link, slip.part->name) : std::nullopt;
        Rejoined wrong = rejoined(link, wiring, groups);
        faults.push_back({.suspect = std::move(slip.suspect),
                          .weight = one_hole_off,
                          .edit = std::move(wrong.edit),
                          .bridge = wrong.bridge,
                          .figure = {},
                          .parts = part ? std::vector{*part} : std::vector<std::size_t>{}});
    }
    return faults;
}

}  // namespace gapwright
