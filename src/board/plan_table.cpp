#include "board/plan_table.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>
#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"

namespace gapwright {
namespace {

// Whether the board's own metal joins two holes, cuts apart.
bool same_metal(const Board& board, Hole a, Hole b) {
    if (a == b) return true;
    if (side_of(board, a) != side_of(board, b)) return false;
    const Rail rail = rail_of(board, a);
    if (rail != rail_of(board, b)) return false;
    if (rail != Rail::none) return true;
    return board.kind != BoardKind::grid && a.row == b.row;
}

// Gives wires their nodes, from pins outwards.
void find_nodes(Plan& plan, const Wiring& wiring) {
    std::vector<std::pair<Hole, std::size_t>> known;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        for (std::size_t p = 0; p < wiring.parts[k].pins.size(); ++p) {
            const auto& node = wiring.parts[k].pins[p].node;
            if (node) known.emplace_back(plan.holes[k][p], *node);
        }
    }
    std::vector<bool> done(plan.wires.size(), false);
    for (bool more = true; more;) {
        more = false;
        for (std::size_t w = 0; w < plan.wires.size(); ++w) {
            PlanWire& wire = plan.wires[w];
            if (done[w]) continue;
            const auto found = std::ranges::find_if(known, [&](const auto& k) {
                return same_metal(plan.board, k.first, wire.from) ||
                       same_metal(plan.board, k.first, wire.to);
            });
            if (found == known.end()) continue;
            wire.node = found->second;
            known.emplace_back(wire.from, wire.node);
            known.emplace_back(wire.to, wire.node);
            done[w] = more = true;
        }
    }
}

}  // namespace

PlanTable table_of(const Plan& plan, const Wiring& wiring) {
    PlanTable table{.board = plan.board, .pins = {}, .wires = {}, .cuts = {}};
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        for (std::size_t p = 0; p < wiring.parts[k].pins.size(); ++p) {
            // Plans that were read may lack pins.
            if (!has_hole(plan.board, plan.holes[k][p])) continue;
            table.pins.push_back({wiring.parts[k].name, wiring.parts[k].pins[p].name,
                                  hole_name(plan.board, plan.holes[k][p])});
        }
    }
    for (const auto& wire : plan.wires) {
        table.wires.push_back(
            {hole_name(plan.board, wire.from), hole_name(plan.board, wire.to), wire.insulated});
    }
    for (const Hole cut : plan.cuts) table.cuts.push_back(hole_name(plan.board, cut));
    return table;
}

Plan plan_of(const PlanTable& table, const Wiring& wiring) {
    Plan plan{.board = table.board, .holes = {}, .wires = {}, .cuts = {}};
    for (const auto& part : wiring.parts) {
        auto& holes = plan.holes.emplace_back();
        for (const auto& pin : part.pins) {
            const auto row = std::ranges::find_if(table.pins, [&](const PinRow& r) {
                return r.part == part.name && r.pin == pin.name;
            });
            const auto hole =
                row == table.pins.end() ? std::nullopt : hole_named(table.board, row->hole);
            holes.push_back(hole.value_or(Hole{-1, -1}));
        }
    }
    for (const auto& row : table.wires) {
        const auto from = hole_named(table.board, row.from);
        const auto to = hole_named(table.board, row.to);
        if (from && to) plan.wires.push_back({0, *from, *to, row.insulated});
    }
    find_nodes(plan, wiring);
    std::ranges::stable_sort(plan.wires, {}, &PlanWire::node);
    for (const auto& cut : table.cuts) {
        if (const auto hole = hole_named(table.board, cut)) plan.cuts.push_back(*hole);
    }
    return plan;
}

}  // namespace gapwright
