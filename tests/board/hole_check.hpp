// What a plan joins, worked out a second time and as shortly as possible: holes by number, sets by
// union. It answers yes or no; that is enough to judge the routine that explains.
#pragma once

#include <algorithm>
#include <cstdlib>
#include <map>
#include <numeric>
#include <set>
#include <vector>

#include "board/plan.hpp"
#include "board/wiring.hpp"

namespace gapwright::testing_support {

class HoleCheck {
  public:
    HoleCheck(const Plan& plan, const Wiring& wiring) : plan_(plan), wiring_(wiring) {
        const Board& board = plan.board;
        parent_.resize(static_cast<std::size_t>(board.columns * board.rows));
        std::iota(parent_.begin(), parent_.end(), std::size_t{0});
        for (int row = 0; row < board.rows; ++row) {
            for (int column = 0; column < board.columns; ++column) join_on_board({column, row});
        }
        for (const PlanWire& wire : plan.wires) {
            join(wire.from, wire.to);
            const int across = wire.to.column - wire.from.column;
            const int down = wire.to.row - wire.from.row;
            if (board.kind != BoardKind::grid || wire.insulated) continue;
            aslant_ |= across != 0 && down != 0;
            if (across != 0 && down != 0) continue;
            const int steps = std::abs(across + down);
            for (int k = 1; k < steps; ++k) {
                join(wire.from,
                     {wire.from.column + across * k / steps, wire.from.row + down * k / steps});
            }
        }
    }

    std::size_t set_of(Hole hole) const {
        auto at = static_cast<std::size_t>(hole.row * plan_.board.columns + hole.column);
        while (parent_[at] != at) at = parent_[at];
        return at;
    }

    Side wanted_side(std::size_t part, std::size_t pin) const {
        const auto& of = wiring_.parts[part];
        if (of.footprint.body != Body::coupler) return of.side;
        return pin < of.pins.size() / 2 ? Side::input : Side::output;
    }

    // Grounds of both sides, or pins of both sides, in one set of holes.
    bool bridged() const {
        std::map<std::size_t, std::set<Side>> grounds;
        std::map<std::size_t, std::set<Side>> pins;
        for (int row = 0; row < plan_.board.rows; ++row) {
            for (int column = 0; column < plan_.board.columns; ++column) {
                const auto side = side_of(plan_.board, {column, row});
                if (side) grounds[set_of({column, row})].insert(*side);
            }
        }
        for (std::size_t k = 0; k < plan_.holes.size(); ++k) {
            for (std::size_t p = 0; p < plan_.holes[k].size(); ++p) {
                pins[set_of(plan_.holes[k][p])].insert(wanted_side(k, p));
            }
        }
        const auto both = [](const auto& set) { return set.second.size() > 1; };
        return std::ranges::any_of(grounds, both) || std::ranges::any_of(pins, both);
    }

    // Whether it joins just what is to be joined, each side on its own ground, each hole used once.
    bool right() const { return !aslant_ && !bridged() && holes_right() && joined_right(); }

  private:
    void join(Hole a, Hole b) { parent_[set_of(a)] = set_of(b); }

    bool is_cut(Hole hole) const { return std::ranges::count(plan_.cuts, hole) > 0; }

    // A hole with the next that the same metal reaches.
    void join_on_board(Hole hole) {
        const Board& board = plan_.board;
        const int c = hole.column;
        const Hole right{c + 1, hole.row};
        if (board.kind == BoardKind::strip && right.column < board.columns) {
            if (!is_cut(hole) && !is_cut(right)) join(hole, right);
        }
        if (board.kind != BoardKind::solderless) return;
        if ((c >= 4 && c < 8) || (c >= 11 && c < 15)) join(hole, right);
        const bool on_rail = c == 0 || c == 1 || c == 18 || c == 19;
        if (on_rail && hole.row > 0) join(hole, {c, hole.row - 1});
    }

    bool holes_right() const {
        std::set<Hole> used;
        for (std::size_t k = 0; k < plan_.holes.size(); ++k) {
            for (std::size_t p = 0; p < plan_.holes[k].size(); ++p) {
                const Hole hole = plan_.holes[k][p];
                if (side_of(plan_.board, hole) != wanted_side(k, p)) return false;
                if (!used.insert(hole).second) return false;
            }
        }
        for (const PlanWire& wire : plan_.wires) {
            for (const Hole end : {wire.from, wire.to}) {
                if (!side_of(plan_.board, end)) return false;
                // Wires underneath a grid board meet at pins.
                if (plan_.board.kind != BoardKind::grid && !used.insert(end).second) return false;
            }
        }
        if (plan_.board.kind != BoardKind::strip) return true;
        for (int row = 0; row < plan_.board.rows; ++row) {
            for (int c = plan_.board.gap_left + 1; c < plan_.board.gap_right; ++c) {
                if (!is_cut({c, row})) return false;
            }
        }
        return true;
    }

    bool joined_right() const {
        std::map<std::size_t, std::set<std::size_t>> nodes_of_set;
        std::map<std::size_t, std::set<std::size_t>> sets_of_node;
        std::size_t alone = wiring_.nodes.size();  // an unused pin is a node of its own
        for (std::size_t k = 0; k < plan_.holes.size(); ++k) {
            for (std::size_t p = 0; p < plan_.holes[k].size(); ++p) {
                const auto& pin = wiring_.parts[k].pins[p];
                const std::size_t node = pin.node ? *pin.node : alone++;
                nodes_of_set[set_of(plan_.holes[k][p])].insert(node);
                sets_of_node[node].insert(set_of(plan_.holes[k][p]));
            }
        }
        const auto one = [](const auto& entry) { return entry.second.size() == 1; };
        return std::ranges::all_of(nodes_of_set, one) && std::ranges::all_of(sets_of_node, one);
    }

    const Plan& plan_;
    const Wiring& wiring_;
    std::vector<std::size_t> parent_;
    bool aslant_ = false;
};

}  // namespace gapwright::testing_support
