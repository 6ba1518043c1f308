#include "bench/misplaced.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "bench/fault.hpp"
#include "bench/rejoined.hpp"
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

class Misplacing {
  public:
    Misplacing(const Link& link, const Wiring& wiring, const Plan& plan)
        : link_(link), wiring_(wiring), plan_(plan) {
        for (const auto& part : plan.holes) taken_.insert(part.begin(), part.end());
        if (plan.board.kind != BoardKind::grid) {
            for (const PlanWire& wire : plan.wires) taken_.insert({wire.from, wire.to});
        }
        PinGroups nodes;
        std::size_t alone = wiring.nodes.size();
        for (const WiringPart& part : wiring.parts) {
            auto& pins = nodes.emplace_back();
            for (const WiringPin& pin : part.pins) pins.push_back(pin.node ? *pin.node : alone++);
        }
        known_.emplace(in_order(wiring, nodes), std::nullopt);
    }

    std::vector<Fault> run() {
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            if (wiring_.parts[k].footprint.body == Body::coupler) {
                move_coupler(k);
                continue;
            }
            for (std::size_t p = 0; p < plan_.holes[k].size(); ++p) move_pin(k, p);
        }
        for (std::size_t w = 0; w < plan_.wires.size(); ++w) {
            for (Hole PlanWire::* end : {&PlanWire::from, &PlanWire::to}) move_end(w, end);
        }
        return std::move(faults_);
    }

  private:
    bool is_free(Hole hole) const { return has_hole(plan_.board, hole) && !taken_.contains(hole); }

    std::string name(Hole hole) const { return hole_name(plan_.board, hole); }

    void move_pin(std::size_t k, std::size_t p) {
        const WiringPart& part = wiring_.parts[k];
        const Hole right = plan_.holes[k][p];
        for (const Hole step : steps) {
            const Hole wrong = moved(right, step);
            if (!is_free(wrong)) continue;
            Plan changed = plan_;
            changed.holes[k][p] = wrong;
            judge(changed, parts_of(part.name),
                  fmt::format("{} stands in {}, not in {}", pin_name(part, part.pins[p]),
                              name(wrong), name(right)));
        }
    }

    // Its pins are a stiff body's: it fits between rows of holes or not at all.
    void move_coupler(std::size_t k) {
        const auto& right = plan_.holes[k];
        for (const Hole step : steps) {
            Plan changed = plan_;
            for (Hole& hole : changed.holes[k]) hole = moved(hole, step);
            const bool fits = std::ranges::all_of(changed.holes[k], [&](Hole hole) {
                return is_free(hole) || std::ranges::find(right, hole) != right.end();
            });
            if (!fits) continue;
            const WiringPart& part = wiring_.parts[k];
            judge(changed, parts_of(part.name),
                  fmt::format("{} stands with {} in {}, not in {}", part.name, part.pins[0].name,
                              name(changed.holes[k][0]), name(right[0])));
        }
    }

    void move_end(std::size_t w, Hole PlanWire::* end) {
        const PlanWire& wire = plan_.wires[w];
        const Hole right = wire.*end;
        for (const Hole step : steps) {
            const Hole wrong = moved(right, step);
            // Under a grid board wires end at pins, so that a wrong pin is near at hand.
            const bool fits =
                plan_.board.kind == BoardKind::grid ? has_hole(plan_.board, wrong) : is_free(wrong);
            if (!fits || wrong == wire.from || wrong == wire.to) continue;
            Plan changed = plan_;
            changed.wires[w].*end = wrong;
            judge(changed, {},
                  fmt::format("the wire from {} to {} ends in {}, not in {}", name(wire.from),
                              name(wire.to), name(wrong), name(right)));
        }
    }

    std::vector<std::size_t> parts_of(const std::string& name) const {
        const auto part = part_of(link_, name);
        return part ? std::vector{*part} : std::vector<std::size_t>{};
    }

    void judge(const Plan& changed, std::vector<std::size_t> parts, std::string suspect) {
        const PinGroups groups = joined_pins(changed);
        const auto [known, is_new] = known_.emplace(in_order(wiring_, groups), faults_.size());
        if (!is_new) {
            if (known->second) faults_[*known->second].weight += one_hole_off;
            return;
        }
        Rejoined wrong = rejoined(link_, wiring_, groups);
        faults_.push_back({.suspect = std::move(suspect),
                           .weight = one_hole_off,
                           .edit = std::move(wrong.edit),
                           .bridge = wrong.bridge,
                           .figure = {},
                           .parts = std::move(parts)});
    }

    const Link& link_;
    const Wiring& wiring_;
    const Plan& plan_;
    std::set<Hole> taken_;
    // By what is joined: which fault it is; none where it is as it should be.
    std::map<std::vector<std::size_t>, std::optional<std::size_t>> known_;
    std::vector<Fault> faults_;
};

}  // namespace

std::vector<Fault> misplaced_faults(const Link& link, const Wiring& wiring, const Plan& plan) {
    return Misplacing(link, wiring, plan).run();
}

}  // namespace gapwright
