#include "board/plan_board.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>

#include "board/board.hpp"
#include "board/layout.hpp"
#include "board/plan.hpp"
#include "board/search.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"

namespace gapwright {
namespace {

using layout::Ground;
using layout::Layout;

// Room to look about in where no size is asked for.
constexpr int roomy_columns = 9;

std::size_t of(Side side) {
    return side == Side::input ? 0 : 1;
}

std::array<Ground, 2> grounds_of(const Wiring& wiring, BoardKind kind, int rows,
                                 std::array<int, 2> columns) {
    const int crowd = static_cast<int>(wiring.parts.size());
    Ground ground{.kind = kind, .rows = rows, .middle = std::clamp(rows / 2 - 2, 0, 3 + crowd)};
    for (const auto& node : wiring.nodes) ground.rails.push_back(node.rail);
    std::array<Ground, 2> grounds = {ground, ground};
    for (std::size_t s = 0; s < 2; ++s) grounds[s].columns = columns[s];
    return grounds;
}

struct Extent {
    int top = 0;
    int bottom = 0;
    std::array<int, 2> columns = {1, 1};
};

Extent extent_of(const Layout& layout) {
    Extent extent{.top = 1 << 20, .bottom = 0};
    const auto take = [&](std::size_t s, layout::Point at) {
        extent.top = std::min(extent.top, at.v);
        extent.bottom = std::max(extent.bottom, at.v);
        extent.columns[s] = std::max(extent.columns[s], at.u + 1);
    };
    for (std::size_t s = 0; s < 2; ++s) {
        const auto& side = layout.sides[s];
        for (std::size_t k = 0; k < side.items.size(); ++k) {
            for (std::size_t p = 0; p < side.items[k].pins.size(); ++p) {
                take(s, pin_at(side.spots[k], p));
            }
        }
        for (const auto& wire : side.wires) {
            take(s, wire.from);
            take(s, wire.to);
        }
    }
    if (extent.top > extent.bottom) extent.top = extent.bottom = 0;
    return extent;
}

// A point of a layout on a board: rows up by `shift`, columns counted from the gap.
Hole hole_at(const Board& board, Side side, layout::Point at, int shift) {
    return {side == Side::input ? board.gap_left - at.u : board.gap_right + at.u, at.v - shift};
}

// What stands in a layout, on a board; leads that end in rails have no holes yet.
Plan placed(const Wiring& wiring, const Layout& layout, const Board& board, int shift) {
    Plan plan;
    plan.board = board;
    for (const WiringPart& part : wiring.parts) {
        plan.holes.emplace_back(part.pins.size(), Hole{-1, -1});
    }
    for (const Side side : {Side::input, Side::output}) {
        const auto hole = [&](layout::Point at) { return hole_at(board, side, at, shift); };
        const auto& from = layout.sides[of(side)];
        for (std::size_t k = 0; k < from.items.size(); ++k) {
            const auto& item = from.items[k];
            for (std::size_t p = 0; p < item.pins.size(); ++p) {
                plan.holes[item.part][item.pins[p]] = hole(pin_at(from.spots[k], p));
            }
        }
        for (const auto& wire : from.wires) {
            plan.wires.push_back({static_cast<std::size_t>(wire.node), hole(wire.from),
                                  hole(wire.to), wire.insulated});
        }
    }
    std::ranges::stable_sort(plan.wires, {}, &PlanWire::node);
    return plan;
}

bool is_taken(const Plan& plan, Hole hole) {
    for (const auto& pins : plan.holes) {
        if (std::ranges::find(pins, hole) != pins.end()) return true;
    }
    return std::ranges::any_of(
        plan.wires, [&](const PlanWire& wire) { return wire.from == hole || wire.to == hole; });
}

bool lies_under(Hole hole, Hole from, Hole to) {
    const double across = to.column - from.column;
    const double down = to.row - from.row;
    const double length2 = across * across + down * down;
    if (length2 == 0) return false;
    const double u = hole.column - from.column;
    const double v = hole.row - from.row;
    const double along = std::clamp((u * across + v * down) / length2, 0.0, 1.0);
    return std::hypot(u - along * across, v - along * down) < 0.5;
}

// Bare legs and links reach over the return rail to the supply's.
bool is_under_something(const Wiring& wiring, const Plan& plan, Hole hole) {
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        if (wiring.parts[k].footprint.body == Body::leads || plan.holes[k].empty()) continue;
        if (lies_under(hole, plan.holes[k].front(), plan.holes[k].back())) return true;
    }
    return std::ranges::any_of(
        plan.wires, [&](const PlanWire& wire) { return lies_under(hole, wire.from, wire.to); });
}

// Leads leave the board level, each on a row of its own.
bool row_has_lead(const Wiring& wiring, const Plan& plan, Side side, int row) {
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        if (wiring.parts[k].footprint.body != Body::leads) continue;
        for (const Hole lead : plan.holes[k]) {
            if (lead.row == row && side_of(plan.board, lead) == side) return true;
        }
    }
    return false;
}

// The first free hole of a node's rail from the top; none where the rail is full.
std::optional<Hole> hole_in_rail(const Wiring& wiring, const Plan& plan, const WiringNode& node,
                                 int shift) {
    const int u = node.rail == Rail::supply ? outer_rail : inner_rail;
    for (int row = 0; row < plan.board.rows; ++row) {
        const Hole at = hole_at(plan.board, node.side, {u, row}, shift);
        if (!has_hole(plan.board, at) || is_taken(plan, at)) continue;
        if (row_has_lead(wiring, plan, node.side, row) || is_under_something(wiring, plan, at)) {
            continue;
        }
        return at;
    }
    return std::nullopt;
}

// Moves a layout onto a board.
Plan mapped(const Wiring& wiring, const Layout& layout, const Board& board, int shift) {
    Plan plan = placed(wiring, layout, board, shift);
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        for (std::size_t p = 0; p < plan.holes[k].size(); ++p) {
            if (plan.holes[k][p].row >= 0) continue;
            const WiringNode& node = wiring.nodes[*wiring.parts[k].pins[p].node];
            if (const auto at = hole_in_rail(wiring, plan, node, shift)) plan.holes[k][p] = *at;
        }
    }
    if (board.kind != BoardKind::strip) return plan;
    // Every strip, used or not, so that none reaches across; both holes between the pin rows.
    for (int row = 0; row < board.rows; ++row) {
        for (int column = board.gap_left + 1; column < board.gap_right; ++column) {
            plan.cuts.push_back({column, row});
        }
    }
    return plan;
}

// Rails have fewer holes than there may be leads.
bool has_all_holes(const Plan& plan) {
    return std::ranges::all_of(plan.holes, [&](const auto& pins) {
        return std::ranges::all_of(pins,
                                   [&](const Hole hole) { return has_hole(plan.board, hole); });
    });
}

std::string crowd(const Wiring& wiring) {
    return fmt::format("{} and {} other parts", wiring.parts.front().name, wiring.parts.size() - 1);
}

PlanFailure stopped() {
    return {"stopped before there was a plan", {}, true};
}

layout::SearchOptions search_options(const PlanOptions& options, bool insists = true) {
    return {.starts = options.starts,
            .insists = insists && options.insists,
            .seed = options.seed,
            .stop = options.stop};
}

std::expected<Plan, PlanFailure> on_solderless(const Wiring& wiring, const PlanOptions& options) {
    int tried = 0;
    for (const int rows : solderless_rows) {
        if (options.size && options.size->rows != rows) continue;
        tried = rows;
        const auto grounds =
            grounds_of(wiring, BoardKind::solderless, rows, {solderless_holes, solderless_holes});
        // A board that is crowded is left for the larger one.
        const bool last = options.size || rows == solderless_rows[1];
        const Layout found = search_layout(wiring, grounds, search_options(options, last));
        if (!found.has_faults() && (last || !found.crosses())) {
            Plan plan = mapped(wiring, found, solderless_board(rows), 0);
            if (has_all_holes(plan)) return plan;
        }
        if (found.stopped) return std::unexpected(stopped());
    }
    if (tried == 0) {
        return std::unexpected(
            PlanFailure{fmt::format("solderless boards of {} rows are not known; {} and {} are",
                                    options.size->rows, solderless_rows[0], solderless_rows[1]),
                        {},
                        false});
    }
    PlanFailure failure{
        fmt::format("{} do not fit on a solderless board of {} rows", crowd(wiring), tried),
        {},
        false};
    if (options.size && tried != solderless_rows[1]) {
        PlanOptions larger = options;
        larger.size = BoardSize{solderless_rows[1], 0};
        if (on_solderless(wiring, larger)) failure.needs = larger.size;
    }
    return std::unexpected(failure);
}

Layout search_plain(const Wiring& wiring, const PlanOptions& options, int rows,
                    std::array<int, 2> columns) {
    return search_layout(wiring, grounds_of(wiring, options.kind, rows, columns),
                         search_options(options));
}

std::unexpected<PlanFailure> does_not_fit(const Wiring& wiring, int rows, int columns,
                                          std::optional<BoardSize> needs = {}) {
    return std::unexpected(PlanFailure{
        fmt::format("{} do not fit on {} rows of {} holes", crowd(wiring), rows, columns), needs,
        false});
}

// With room to look about in, then cut down to what is used; or, where a size is asked for, put on
// a board of that size.
std::expected<Plan, PlanFailure> on_roomy(const Wiring& wiring, const PlanOptions& options) {
    const auto rows = static_cast<int>(12 + 3 * wiring.parts.size());
    const Layout found = search_plain(wiring, options, rows, {roomy_columns, roomy_columns});
    if (found.has_faults()) {
        if (found.stopped) return std::unexpected(stopped());
        if (options.size) return does_not_fit(wiring, options.size->rows, options.size->columns);
        return does_not_fit(wiring, rows, 2 * roomy_columns + gap_width - 1);
    }
    const Extent extent = extent_of(found);
    const BoardSize used{extent.bottom - extent.top + 1,
                         extent.columns[0] + extent.columns[1] + gap_width - 1};
    const BoardSize size = options.size.value_or(used);
    if (used.rows > size.rows || used.columns > size.columns) {
        return does_not_fit(wiring, size.rows, size.columns, used);
    }
    const int left = extent.columns[0] + (size.columns - used.columns) / 2;
    const Board board =
        plain_board(options.kind, size.rows, left, size.columns - left - (gap_width - 1));
    return mapped(wiring, found, board, extent.top);
}

std::expected<Plan, PlanFailure> on_plain(const Wiring& wiring, const PlanOptions& options) {
    if (!options.size) return on_roomy(wiring, options);
    const int rows = options.size->rows;
    const int both = options.size->columns - (gap_width - 1);
    const std::array<int, 2> columns = {both / 2, both - both / 2};
    if (rows < 1 || columns[0] < 1) {
        return std::unexpected(PlanFailure{
            "a board has at least one row and one column a side beside the gap", {}, false});
    }
    const Layout found = search_plain(wiring, options, rows, columns);
    if (!found.has_faults()) {
        const Board board = plain_board(options.kind, rows, columns[0], columns[1]);
        return mapped(wiring, found, board, 0);
    }
    if (found.stopped) return std::unexpected(stopped());
    // What was found with room may fit all the same, one side wider than the other.
    return on_roomy(wiring, options);
}

}  // namespace

std::expected<Plan, PlanFailure> plan_board(const Wiring& wiring, const PlanOptions& options) {
    if (wiring.parts.empty())
        return std::unexpected(PlanFailure{"there are no parts to place", {}, false});
    return options.kind == BoardKind::solderless ? on_solderless(wiring, options)
                                                 : on_plain(wiring, options);
}

}  // namespace gapwright
