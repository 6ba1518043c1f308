#include "board/joined_pins.hpp"

#include <cstdlib>
#include <numeric>
#include <vector>
#include "board/board.hpp"
#include "board/plan.hpp"
#include "circuit/index.hpp"

namespace gapwright {
namespace {

class Conductors {
  public:
    explicit Conductors(const Board& board) : board_(board), parent_(size()) {
        std::iota(parent_.begin(), parent_.end(), std::size_t{0});
    }

    std::size_t of(Hole hole) {
        std::size_t at = number(hole);
        while (parent_[at] != at) at = parent_[at] = parent_[parent_[at]];
        return at;
    }

    void join(Hole a, Hole b) { parent_[of(b)] = of(a); }

    void join_metal(const std::vector<Hole>& cuts) {
        std::vector<bool> is_cut(size(), false);
        for (const Hole cut : cuts) is_cut[number(cut)] = true;
        for (int row = 0; row < board_.rows; ++row) {
            for (int column = 0; column < board_.columns; ++column) {
                const Hole hole{column, row};
                if (board_.kind == BoardKind::solderless && has_hole(board_, hole)) {
                    join(head_of_spring(hole), hole);
                }
                if (board_.kind != BoardKind::strip || column == 0) continue;
                const Hole before{column - 1, row};
                if (!is_cut[number(before)] && !is_cut[number(hole)]) join(before, hole);
            }
        }
    }

    void join_wire(const PlanWire& wire) {
        join(wire.from, wire.to);
        const int across = wire.to.column - wire.from.column;
        const int down = wire.to.row - wire.from.row;
        const bool touches = board_.kind == BoardKind::grid && !wire.insulated;
        if (!touches || (across != 0 && down != 0)) return;
        const int steps = std::abs(across + down);
        for (int k = 1; k < steps; ++k) {
            join(wire.from,
                 {wire.from.column + across / steps * k, wire.from.row + down / steps * k});
        }
    }

  private:
    std::size_t size() const {
        return static_cast<std::size_t>(board_.columns) * static_cast<std::size_t>(board_.rows);
    }
    std::size_t number(Hole hole) const {
        return static_cast<std::size_t>(hole.row) * static_cast<std::size_t>(board_.columns) +
               static_cast<std::size_t>(hole.column);
    }

    // One place for all holes over the same spring of a solderless board; of a rail its top, where
    // there may be no hole.
    Hole head_of_spring(Hole hole) const {
        if (rail_of(board_, hole) != Rail::none) return {hole.column, 0};
        const bool input = side_of(board_, hole) == Side::input;
        return {input ? board_.gap_left : board_.gap_right, hole.row};
    }

    const Board& board_;
    std::vector<std::size_t> parent_;  // by hole, towards one that stands for its conductor
};

}  // namespace

std::vector<std::vector<std::size_t>> joined_pins(const Plan& plan) {
    Conductors conductors(plan.board);
    conductors.join_metal(plan.cuts);
    for (const PlanWire& wire : plan.wires) conductors.join_wire(wire);
    std::vector<std::vector<std::size_t>> joined;
    for (const auto& part : plan.holes) {
        auto& pins = joined.emplace_back();
        for (const Hole hole : part) pins.push_back(conductors.of(hole));
    }
    return joined;
}

}  // namespace gapwright
