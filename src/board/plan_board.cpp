#include "board/plan_board.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <utility>

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

// Moves a layout onto a board: rows up by `shift`, columns counted from the gap.
class Mapping {
  public:
    Mapping(const Wiring& wiring, const Layout& layout, const Board& board, int shift)
        : wiring_(wiring), layout_(layout), shift_(shift) {
        plan_.board = board;
    }

    Plan run() {
        plan_.holes.resize(wiring_.parts.size());
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            plan_.holes[k].resize(wiring_.parts[k].pins.size(), Hole{-1, -1});
        }
        for (const Side side : {Side::input, Side::output}) {
            const auto& from = layout_.sides[of(side)];
            for (std::size_t k = 0; k < from.items.size(); ++k) {
                for (std::size_t p = 0; p < from.items[k].pins.size(); ++p) {
                    plan_.holes[from.items[k].part][from.items[k].pins[p]] =
                        hole(side, pin_at(from.spots[k], p));
                }
            }
            for (const auto& wire : from.wires) {
                plan_.wires.push_back({static_cast<std::size_t>(wire.node), hole(side, wire.from),
                                       hole(side, wire.to), wire.insulated});
            }
        }
        std::ranges::stable_sort(plan_.wires, {}, &PlanWire::node);
        put_leads_into_rails();
        if (plan_.board.kind == BoardKind::strip) cut_strips();
        return std::move(plan_);
    }

  private:
    Hole hole(Side side, layout::Point at) const {
        const Board& board = plan_.board;
        return {side == Side::input ? board.gap_left - at.u : board.gap_right + at.u,
                at.v - shift_};
    }

    bool is_taken(Hole hole) const {
        for (const auto& pins : plan_.holes) {
            if (std::ranges::find(pins, hole) != pins.end()) return true;
        }
        return std::ranges::any_of(plan_.wires, [&](const PlanWire& wire) {
            return wire.from == hole || wire.to == hole;
        });
    }

    static bool lies_under(Hole hole, Hole from, Hole to) {
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
    bool is_under_something(Hole hole) const {
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            if (wiring_.parts[k].footprint.body == Body::leads || plan_.holes[k].empty()) continue;
            if (lies_under(hole, plan_.holes[k].front(), plan_.holes[k].back())) return true;
        }
        return std::ranges::any_of(plan_.wires, [&](const PlanWire& wire) {
            return lies_under(hole, wire.from, wire.to);
        });
    }

    // Leads leave the board level, each on a row of its own.
    bool row_has_lead(Side side, int row) const {
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            if (wiring_.parts[k].footprint.body != Body::leads) continue;
            for (const Hole lead : plan_.holes[k]) {
                if (lead.row == row && side_of(plan_.board, lead) == side) return true;
            }
        }
        return false;
    }

    // The first free hole from the top.
    void put_leads_into_rails() {
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            for (std::size_t p = 0; p < plan_.holes[k].size(); ++p) {
                if (plan_.holes[k][p].row >= 0) continue;
                const WiringNode& node = wiring_.nodes[*wiring_.parts[k].pins[p].node];
                const int u = node.rail == Rail::supply ? outer_rail : inner_rail;
                for (int row = 0; row < plan_.board.rows; ++row) {
                    const Hole at = hole(node.side, {u, row});
                    if (!has_hole(plan_.board, at) || is_taken(at)) continue;
                    if (row_has_lead(node.side, row) || is_under_something(at)) continue;
                    plan_.holes[k][p] = at;
                    break;
                }
            }
        }
    }

    // Every strip, used or not, so that none reaches across; both holes between the pin rows.
    void cut_strips() {
        for (int row = 0; row < plan_.board.rows; ++row) {
            for (int column = plan_.board.gap_left + 1; column < plan_.board.gap_right; ++column) {
                plan_.cuts.push_back({column, row});
            }
        }
    }

    const Wiring& wiring_;
    const Layout& layout_;
    int shift_;
    Plan plan_;
};

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
            Plan plan = Mapping(wiring, found, solderless_board(rows), 0).run();
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
    return Mapping(wiring, found, board, extent.top).run();
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
        return Mapping(wiring, found, board, 0).run();
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
