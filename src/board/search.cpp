#include "board/search.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <random>
#include <utility>
#include <vector>
#include "board/board.hpp"
#include "board/layout.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"

namespace gapwright::layout {
namespace {

constexpr double hottest = 20;         // pitches: the temperature that a start begins with
constexpr double in_line_hottest = 3;  // of one that begins with parts in line
constexpr int steps_an_item = 1200;    // of one start
// Where the starts end with faults or crossings, so many times as many more, each so much longer.
constexpr int more_starts = 3;
constexpr int longer = 3;
// Up to so many things to place a search is as long as asked; with more there are fewer starts,
// since each takes longer; far more get fewer late ones, too.
constexpr int usual_items = 16;
constexpr int far_more_items = 40;
constexpr int coupler_apart = 5;  // rows between couplers, to begin with

constexpr std::array<Side, 2> both_sides = {Side::input, Side::output};

std::size_t of(Side side) {
    return side == Side::input ? 0 : 1;
}

// What is placed on a side: its parts whole, leads one by one. Leads of a node that is a rail need
// no search.
std::vector<Item> items_of(const Wiring& wiring, Side side, const Ground& ground) {
    std::vector<Item> items;
    int couplers = 0;
    const auto node = [](const WiringPin& pin) {
        return pin.node ? static_cast<int>(*pin.node) : none;
    };
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const WiringPart& part = wiring.parts[k];
        Item item{.part = k, .footprint = part.footprint};
        const bool is_coupler = part.footprint.body == Body::coupler;
        if (is_coupler) item.coupler = couplers++;
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            if (side_of_pin(part, p) != side) continue;
            item.pins.push_back(p);
        }
        if (item.pins.empty()) continue;
        // Up the output side: its highest number is at the top.
        if (is_coupler && side == Side::output) std::ranges::reverse(item.pins);
        for (const std::size_t p : item.pins) item.nodes.push_back(node(part.pins[p]));
        if (!item.is_lead()) {
            items.push_back(std::move(item));
            continue;
        }
        for (std::size_t p = 0; p < item.pins.size(); ++p) {
            const int at = item.nodes[p];
            const bool on_rail = ground.has_rails() && at != none &&
                                 ground.rails[static_cast<std::size_t>(at)] != Rail::none;
            if (on_rail) continue;
            items.push_back(
                {.part = k, .pins = {item.pins[p]}, .nodes = {at}, .footprint = part.footprint});
        }
    }
    return items;
}

class Annealing {
  public:
    Annealing(const std::array<Ground, 2>& grounds, const Layout& empty, int couplers,
              int longer_by, bool in_line, std::uint64_t seed)
        : grounds_(grounds), layout_(empty), random_(seed) {
        for (const auto& side : layout_.sides) {
            steps_ += steps_an_item * longer_by * static_cast<int>(side.items.size());
        }
        for (int c = 0; c < couplers; ++c) {
            coupler_rows_.push_back(grounds_[0].middle + coupler_apart * c);
        }
        in_line_ = in_line;
        for (const Side side : both_sides) in_line ? line_up(of(side)) : scatter(of(side));
    }

    Layout run() {
        const bool grid = grounds_[0].kind == BoardKind::grid;
        in_full_ = !grid;
        cost_both();
        anneal(in_line_ ? in_line_hottest : hottest, grid ? 0.3 : 0.03, steps_);
        if (grid) {
            in_full_ = true;
            cost_both();
            anneal(0.8, 0.03, steps_ / 6);
        }
        layout_ = best_;
        for (std::size_t s = 0; s < 2; ++s) {
            SideLayout& side = layout_.sides[s];
            side.wires.clear();
            const int orders = 1 + static_cast<int>(grounds_[s].rails.size());
            side.cost = grid
                            ? cost_on_grid(side.items, side.spots, grounds_[s], orders, &side.wires)
                            : cost_on_strips(side.items, side.spots, grounds_[s], &side.wires);
        }
        return std::move(layout_);
    }

  private:
    int below(int count) { return static_cast<int>(random_() % static_cast<unsigned>(count)); }
    int between(int low, int high) { return low + below(high - low + 1); }
    double share() { return static_cast<double>(random_() >> 11) * 0x1p-53; }

    void scatter(std::size_t s) {
        SideLayout& side = layout_.sides[s];
        side.spots.clear();
        const int middle = grounds_[s].middle;
        const int about = 3 + static_cast<int>(side.items.size()) / 2;
        for (const Item& item : side.items) {
            Spot spot{between(0, grounds_[s].columns - 1),
                      between(std::max(0, middle - about), middle + about), Turn::down,
                      item.footprint.least_span};
            if (item.coupler != none) {
                spot = {0, coupler_rows_[static_cast<std::size_t>(item.coupler)], Turn::down, 1};
            }
            side.spots.push_back(spot);
        }
    }

    // One after the other downwards, so that little overlaps: of many parts thrown together some
    // never come apart. What shares a node with the one before begins in its last row.
    void line_up(std::size_t s) {
        SideLayout& side = layout_.sides[s];
        const Ground& ground = grounds_[s];
        side.spots.clear();
        const bool strips = ground.kind != BoardKind::grid;
        int row = 0;
        int last_node = none;
        int k = 0;
        for (const Item& item : side.items) {
            Spot spot{1 + k++ % std::max(1, ground.columns - 2), 0, Turn::down,
                      item.footprint.least_span};
            if (item.coupler != none) {
                spot = {0, coupler_rows_[static_cast<std::size_t>(item.coupler)], Turn::down, 1};
                side.spots.push_back(spot);
                continue;
            }
            const bool joins = strips && last_node != none && item.nodes.front() == last_node;
            spot.v = joins ? row - 1 : row;
            if (spot.v >= ground.rows - 4) spot.v = between(0, std::max(0, ground.rows - 4));
            row = spot.v + spot.span * static_cast<int>(item.pins.size() - 1) + 1;
            last_node = item.nodes.back();
            side.spots.push_back(spot);
        }
    }

    Cost cost_of(std::size_t s, double limit = no_limit) const {
        const SideLayout& side = layout_.sides[s];
        if (grounds_[s].kind != BoardKind::grid) {
            return cost_on_strips(side.items, side.spots, grounds_[s], nullptr, limit);
        }
        return in_full_ ? cost_on_grid(side.items, side.spots, grounds_[s], 1, nullptr, limit)
                        : estimate_on_grid(side.items, side.spots, grounds_[s], limit);
    }

    void cost_both() {
        for (std::size_t s = 0; s < 2; ++s) layout_.sides[s].cost = cost_of(s);
        best_ = layout_;
    }

    void anneal(double hot, double cold, int steps) {
        std::vector<std::size_t> sides;  // as often as they have something to move
        for (std::size_t s = 0; s < 2; ++s) {
            for (const Item& item : layout_.sides[s].items) {
                if (item.coupler == none) sides.push_back(s);
            }
        }
        const bool rows_move = coupler_rows_.size() > 1;
        if (sides.empty() && !rows_move) return;
        const double cooling = std::pow(cold / hot, 1.0 / std::max(1, steps));
        double temperature = hot;
        for (int k = 0; k < steps; ++k, temperature *= cooling) {
            if (sides.empty() || (rows_move && below(20) == 0)) {
                move_coupler(temperature);
            } else {
                move_on(sides[static_cast<std::size_t>(below(static_cast<int>(sides.size())))],
                        temperature);
            }
        }
    }

    // The highest cost that is taken in place of `cost`: drawn before the move is looked at.
    double limit(double cost, double temperature) {
        return cost - temperature * std::log(std::max(share(), 1e-12));
    }

    void note_best() {
        if (layout_.total() < best_.total()) best_ = layout_;
    }

    void move_coupler(double temperature) {
        const auto c = static_cast<std::size_t>(below(static_cast<int>(coupler_rows_.size())));
        const int before = coupler_rows_[c];
        const auto put = [&](int row) {
            coupler_rows_[c] = row;
            for (auto& side : layout_.sides) {
                for (std::size_t k = 0; k < side.items.size(); ++k) {
                    if (side.items[k].coupler == static_cast<int>(c)) side.spots[k].v = row;
                }
            }
        };
        const std::array<Cost, 2> old = {layout_.sides[0].cost, layout_.sides[1].cost};
        const double total = layout_.total();
        put(before + between(-3, 3));
        for (std::size_t s = 0; s < 2; ++s) layout_.sides[s].cost = cost_of(s);
        if (layout_.total() <= limit(total, temperature)) {
            note_best();
            return;
        }
        put(before);
        for (std::size_t s = 0; s < 2; ++s) layout_.sides[s].cost = old[s];
    }

    void move_on(std::size_t s, double temperature) {
        SideLayout& side = layout_.sides[s];
        if (below(15) == 0) {
            close_or_open(s, temperature);
            return;
        }
        const std::size_t k = movable(side);
        std::size_t other = k;
        const Spot before = side.spots[k];
        Spot before_other = before;
        if (below(10) == 0) {
            other = movable(side);
            before_other = side.spots[other];
            std::swap(side.spots[k].u, side.spots[other].u);
            std::swap(side.spots[k].v, side.spots[other].v);
        } else {
            side.spots[k] = moved(s, k);
        }
        const Cost old = side.cost;
        const double most = limit(old.total(), temperature);
        side.cost = cost_of(s, most);
        if (side.cost.total() <= most) {
            note_best();
            return;
        }
        if (other != k) side.spots[other] = before_other;
        side.spots[k] = before;
        side.cost = old;
    }

    // Everything beyond a row, seen from the middle, comes nearer by a row or makes room for one.
    void close_or_open(std::size_t s, double temperature) {
        SideLayout& side = layout_.sides[s];
        const auto before = side.spots;
        const bool upper = below(2) == 0;
        const int row = grounds_[s].middle + (upper ? -1 : 1) * between(0, 8);
        const int step = (upper ? 1 : -1) * (below(3) == 0 ? -1 : 1);
        for (std::size_t k = 0; k < side.items.size(); ++k) {
            if (side.items[k].coupler != none) continue;
            const int a = pin_at(side.spots[k], 0).v;
            const int b = pin_at(side.spots[k], side.items[k].pins.size() - 1).v;
            const bool beyond = upper ? std::max(a, b) < row : std::min(a, b) > row;
            if (beyond) side.spots[k].v += step;
        }
        const Cost old = side.cost;
        const double most = limit(old.total(), temperature);
        side.cost = cost_of(s, most);
        if (side.cost.total() <= most) {
            note_best();
            return;
        }
        side.spots = before;
        side.cost = old;
    }

    std::size_t movable(const SideLayout& side) {
        while (true) {
            const auto k = static_cast<std::size_t>(below(static_cast<int>(side.items.size())));
            if (side.items[k].coupler == none) return k;
        }
    }

    Spot moved(std::size_t s, std::size_t k) {
        const Item& item = layout_.sides[s].items[k];
        Spot spot = layout_.sides[s].spots[k];
        switch (below(4)) {
            case 0:
            case 1:
                spot.u += between(-1, 1);
                spot.v += between(-2, 2);
                break;
            case 2:
                turn(s, item, spot);
                break;
            default:
                if (!meet(s, k, spot)) {
                    spot.u = between(0, grounds_[s].columns - 1);
                    spot.v += between(-4, 4);
                }
                break;
        }
        return spot;
    }

    // Lies another way or over another span; on a solderless board perhaps with one pin in a rail.
    void turn(std::size_t s, const Item& item, Spot& spot) {
        const Ground& ground = grounds_[s];
        if (item.pins.size() < 2) {
            spot.u = between(0, ground.columns - 1);
            return;
        }
        spot.span = between(item.footprint.least_span, item.footprint.most_span);
        const bool grid = ground.kind == BoardKind::grid;
        spot.turn = static_cast<Turn>(below(grid ? 4 : 2));
        if (!ground.has_rails() || item.pins.size() != 2 || below(2) == 0) return;
        for (const std::size_t p : {std::size_t{0}, std::size_t{1}}) {
            if (item.nodes[p] == none) continue;
            const Rail rail = ground.rails[static_cast<std::size_t>(item.nodes[p])];
            if (rail == Rail::none) continue;
            const int column = ground.rail_column(rail);
            const int span = std::max(spot.span, column - ground.columns + 1);
            if (span > item.footprint.most_span) return;
            spot.span = span;
            spot.turn = p == 0 ? Turn::inwards : Turn::outwards;
            spot.u = p == 0 ? column : column - spot.span;
            return;
        }
    }

    // Puts one pin where another of the same node may join it: into its row, or beside it.
    bool meet(std::size_t s, std::size_t k, Spot& spot) {
        const SideLayout& side = layout_.sides[s];
        const Item& item = side.items[k];
        const auto p = static_cast<std::size_t>(below(static_cast<int>(item.pins.size())));
        if (item.nodes[p] == none) return false;
        const auto o = static_cast<std::size_t>(below(static_cast<int>(side.items.size())));
        if (o == k) return false;
        for (std::size_t q = 0; q < side.items[o].pins.size(); ++q) {
            if (side.items[o].nodes[q] != item.nodes[p]) continue;
            const Point target = pin_at(side.spots[o], q);
            const Point here = pin_at(spot, p);
            spot.v += target.v - here.v;
            if (grounds_[s].kind == BoardKind::grid) {
                constexpr std::array<Point, 4> beside = {{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}};
                const Point step = beside[static_cast<std::size_t>(below(4))];
                spot.u += target.u - here.u + step.u;
                spot.v += step.v;
            } else {
                spot.u = between(0, grounds_[s].columns - 1);
            }
            return true;
        }
        return false;
    }

    const std::array<Ground, 2>& grounds_;
    Layout layout_;
    Layout best_;
    int steps_ = 0;
    std::mt19937_64 random_;
    std::vector<int> coupler_rows_;
    bool in_full_ = true;
    bool in_line_ = false;
};

}  // namespace

Layout search_layout(const Wiring& wiring, const std::array<Ground, 2>& grounds,
                     const SearchOptions& options) {
    Layout empty;
    for (const Side side : both_sides) {
        empty.sides[of(side)].items = items_of(wiring, side, grounds[of(side)]);
    }
    const auto couplers = static_cast<int>(std::ranges::count_if(
        wiring.parts, [](const auto& part) { return part.footprint.body == Body::coupler; }));
    Layout best;
    double least = std::numeric_limits<double>::infinity();
    const auto items = static_cast<int>(empty.sides[0].items.size() + empty.sides[1].items.size());
    const int starts =
        items > usual_items ? std::max(1, options.starts * usual_items / items) : options.starts;
    const bool far_more = items > far_more_items;
    for (int k = 0; k < starts * (1 + (far_more ? 1 : more_starts)); ++k) {
        const bool late = k >= starts;
        if (late && !best.has_faults() && !(options.insists && best.crosses())) break;
        if (k > 0 && options.stop && options.stop()) {
            best.stopped = true;
            break;
        }
        const auto seed = options.seed * 1000003 + static_cast<std::uint64_t>(k);
        Layout found =
            Annealing(grounds, empty, couplers, late ? longer : 1, far_more || k % 3 == 2, seed)
                .run();
        if (found.total() >= least) continue;
        least = found.total();
        best = std::move(found);
    }
    return best;
}

}  // namespace gapwright::layout
