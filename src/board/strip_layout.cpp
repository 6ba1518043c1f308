// Wires between rows whose holes metal joins already.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "board/board.hpp"
#include "board/layout.hpp"

namespace gapwright::layout {
namespace {

constexpr double unjoined = 1;  // faults, of a wire that has no way
constexpr double each_wire = 0.05;
constexpr double aslant_weight = 0.3;

struct Run {
    Point from;
    Point to;
};

// Whether a straight run passes through a rectangle (Liang and Barsky's clipping).
bool meets(const Run& run, const Rect& rect) {
    double enters = 0;
    double leaves = 1;
    const auto clip = [&](double towards, double room) {
        if (towards == 0) return room >= 0;
        const double at = room / towards;
        if (towards < 0) {
            enters = std::max(enters, at);
        } else {
            leaves = std::min(leaves, at);
        }
        return enters <= leaves;
    };
    const double du = run.to.u - run.from.u;
    const double dv = run.to.v - run.from.v;
    return clip(-du, run.from.u - rect.left) && clip(du, rect.right - run.from.u) &&
           clip(-dv, run.from.v - rect.top) && clip(dv, rect.bottom - run.from.v);
}

bool cross(const Run& a, const Run& b) {
    const auto turn = [](Point p, Point q, Point r) {
        const int area = (q.u - p.u) * (r.v - p.v) - (q.v - p.v) * (r.u - p.u);
        return (area > 0) - (area < 0);
    };
    return turn(a.from, a.to, b.from) * turn(a.from, a.to, b.to) <= 0 &&
           turn(b.from, b.to, a.from) * turn(b.from, b.to, a.to) <= 0;
}

class Strips {
  public:
    Strips(const std::vector<Item>& items, const std::vector<Spot>& spots, const Ground& ground,
           std::vector<LocalWire>* wires, double limit)
        : items_(items), spots_(spots), ground_(ground), wires_(wires), limit_(limit) {}

    Cost run() {
        cost_ = cost_of_placing(items_, spots_, ground_, rects_, limit_);
        if (cost_.total() > limit_) return cost_;
        claim_rows();
        const auto nodes = static_cast<int>(ground_.rails.size());
        for (int node = 0; node < nodes && cost_.total() <= limit_; ++node) join(node);
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
        return std::ranges::none_of(rects_, [&](const Rect& r) { return rect.overlaps(r); }) &&
               std::ranges::none_of(aslant_, [&](const Run& run) { return meets(run, rect); });
    }

    void add(int node, Point from, Point to, bool insulated) {
        if (from.u == to.u || from.v == to.v) {
            rects_.push_back(rect_of_run(from, to));
        } else {
            rects_.push_back(rect_of_run(from, from));
            rects_.push_back(rect_of_run(to, to));
            aslant_.push_back({from, to});
        }
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
            cross_over(node, above, below);
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

    // A link from one row to another in a straight line clear of everything.
    std::optional<Run> clear_run(int above, int below) const {
        std::optional<Run> best;
        for (int from = 0; from < ground_.columns; ++from) {
            if (!is_free(rect_of_run({from, above}, {from, above}))) continue;
            for (int to = 0; to < ground_.columns; ++to) {
                if (best && std::abs(from - to) >= std::abs(best->from.u - best->to.u)) continue;
                const Run run{{from, above}, {to, below}};
                const auto touches = [&](const Rect& rect) { return meets(run, rect); };
                const auto crosses = [&](const Run& other) { return cross(run, other); };
                if (!is_free(rect_of_run(run.to, run.to)) || std::ranges::any_of(rects_, touches) ||
                    std::ranges::any_of(aslant_, crosses)) {
                    continue;
                }
                best = run;
            }
        }
        return best;
    }

    std::optional<int> free_hole(int row) const {
        for (int u = 0; u < ground_.columns; ++u) {
            if (is_free(rect_of_run({u, row}, {u, row}))) return u;
        }
        return std::nullopt;
    }

    // Where no upright way is free: aslant, and if need be an insulated link over whatever lies
    // between.
    void cross_over(int node, int above, int below) {
        if (const auto run = clear_run(above, below)) {
            cost_.size += aslant_weight;
            add(node, run->from, run->to, false);
            return;
        }
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
    double limit_;
    Cost cost_;
    std::vector<Rect> rects_;
    std::vector<Run> aslant_;  // links that are not upright
    std::vector<int> owner_;   // by row
    std::vector<int> rows_;    // of the node in hand
};

}  // namespace

Cost cost_on_strips(const std::vector<Item>& items, const std::vector<Spot>& spots,
                    const Ground& ground, std::vector<LocalWire>* wires, double limit) {
    return Strips(items, spots, ground, wires, limit).run();
}

}  // namespace gapwright::layout
