// Wires between rows whose holes metal joins already.
#include <algorithm>
#include <cmath>
#include <optional>

#include "board/layout.hpp"

namespace gapwright::layout {
namespace {

constexpr double unjoined = 1;  // faults, of a wire that has no way
constexpr double each_wire = 0.05;

class Strips {
  public:
    Strips(const std::vector<Item>& items, const std::vector<Spot>& spots, const Ground& ground,
           std::vector<LocalWire>* wires)
        : items_(items), spots_(spots), ground_(ground), wires_(wires) {}

    Cost run() {
        cost_ = cost_of_placing(items_, spots_, ground_, rects_);
        claim_rows();
        for (int node = 0; node < static_cast<int>(ground_.rails.size()); ++node) join(node);
        return cost_;
    }

  private:
    void claim_rows() {
        owner_.assign(static_cast<std::size_t>(ground_.rows), unclaimed);
        for (std::size_t k = 0; k < items_.size(); ++k) {
            for (std::size_t p = 0; p < items_[k].pins.size(); ++p) {
                const Point at = pin_at(spots_[k], p);
                if (at.u >= ground_.columns || at.v < 0 || at.v >= ground_.rows) continue;
                int& owner = owner_[static_cast<std::size_t>(at.v)];
                // A pin that nothing is joined to must have its row for itself.
                const int wanted = items_[k].nodes[p] == none ? -10 - static_cast<int>(16 * k + p)
                                                              : items_[k].nodes[p];
                if (owner == unclaimed) owner = wanted;
                if (owner != wanted) cost_.faults += 1;
            }
        }
    }

    bool is_free(const Rect& rect) const {
        return std::ranges::none_of(rects_, [&](const Rect& r) { return rect.overlaps(r); });
    }

    void add(int node, Point from, Point to, bool insulated) {
        rects_.push_back(rect_of_run(from, to));
        cost_.wires += std::hypot(from.u - to.u, from.v - to.v);
        cost_.size += each_wire;
        cost_.insulated += insulated ? 1 : 0;
        if (wires_) wires_->push_back({node, from, to, insulated});
    }

    // An upright link between two rows, as near the gap as there is room: rails are reached
    // outwards.
    std::optional<Point> upright(int above, int below) const {
        for (int u = 0; u < ground_.columns; ++u) {
            if (is_free(rect_of_run({u, above}, {u, below}))) return Point{u, above};
        }
        return std::nullopt;
    }

    struct RailLink {
        Point from;
        Point to;
        double length = 0;
    };
    // From the outermost free hole of a row to the rail, level or one row aslant.
    std::optional<RailLink> rail_link(int row, Rail rail) const {
        const int column = ground_.rail_column(rail);
        for (const int aside : {0, -1, 1}) {
            if (!rail_has_hole(ground_.rows, row + aside)) continue;
            for (int u = ground_.columns - 1; u >= 0; --u) {
                const Point from{u, row};
                const Point to{column, row + aside};
                if (!is_free(rect_of_run(from, to))) continue;
                return RailLink{from, to, std::hypot(column - u, aside)};
            }
        }
        return std::nullopt;
    }

    void join(int node) {
        rows_.clear();
        for (int v = 0; v < ground_.rows; ++v) {
            if (owner_[static_cast<std::size_t>(v)] == node) rows_.push_back(v);
        }
        if (rows_.empty()) return;
        const Rail rail =
            ground_.has_rails() ? ground_.rails[static_cast<std::size_t>(node)] : Rail::none;
        if (rail == Rail::none) {
            for (std::size_t k = 1; k < rows_.size(); ++k) link(node, rows_[k - 1], rows_[k]);
            return;
        }
        // Rows nearer to one another than to their rail are linked, and each group to the rail.
        const int to_rail = ground_.rail_column(rail) - (ground_.columns - 1);
        std::size_t first = 0;
        for (std::size_t k = 1; k <= rows_.size(); ++k) {
            if (k < rows_.size() && rows_[k] - rows_[k - 1] < to_rail) {
                if (const auto way = upright(rows_[k - 1], rows_[k])) {
                    add(node, *way, {way->u, rows_[k]}, false);
                    continue;
                }
            }
            link_to_rail(node, rail, first, k);
            first = k;
        }
    }

    void link(int node, int above, int below) {
        if (const auto way = upright(above, below)) {
            add(node, *way, {way->u, below}, false);
        } else {
            cross(node, above, below);
        }
    }

    // The rows from `first` to before `last`, which are linked, to their rail.
    void link_to_rail(int node, Rail rail, std::size_t first, std::size_t last) {
        std::optional<RailLink> best;
        for (std::size_t k = first; k < last; ++k) {
            const auto here = rail_link(rows_[k], rail);
            if (here && (!best || here->length < best->length)) best = here;
        }
        if (best) {
            add(node, best->from, best->to, false);
        } else {
            cost_.faults += unjoined;
        }
    }

    std::optional<int> free_hole(int row) const {
        for (int u = 0; u < ground_.columns; ++u) {
            if (is_free(rect_of_run({u, row}, {u, row}))) return u;
        }
        return std::nullopt;
    }

    // Where no straight way is free: an insulated link over whatever lies between.
    void cross(int node, int above, int below) {
        const auto from = free_hole(above);
        const auto to = free_hole(below);
        if (!from || !to) {
            cost_.faults += unjoined;
            return;
        }
        cost_.size += 20;
        add(node, {*from, above}, {*to, below}, true);
    }

    static constexpr int unclaimed = -2;
    const std::vector<Item>& items_;
    const std::vector<Spot>& spots_;
    const Ground& ground_;
    std::vector<LocalWire>* wires_;
    Cost cost_;
    std::vector<Rect> rects_;
    std::vector<int> owner_;  // by row
    std::vector<int> rows_;   // of the node in hand
};

}  // namespace

Cost cost_on_strips(const std::vector<Item>& items, const std::vector<Spot>& spots,
                    const Ground& ground, std::vector<LocalWire>* wires) {
    return Strips(items, spots, ground, wires).run();
}

}  // namespace gapwright::layout
