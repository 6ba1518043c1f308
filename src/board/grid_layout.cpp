// Wires underneath a board whose holes nothing joins: from hole to hole along the grid.
#include <algorithm>
#include <cstdlib>
#include <limits>
#include <numeric>
#include <optional>
#include <utility>
#include <vector>

#include "board/layout.hpp"

namespace gapwright::layout {
namespace {

constexpr double no_way = 12;  // pitches that a wire without a way counts besides its length
constexpr double each_bend = 0.02;

std::size_t to_size(int k) {
    return static_cast<std::size_t>(k);
}

int apart(Point a, Point b) {
    return std::abs(a.u - b.u) + std::abs(a.v - b.v);
}

// The pins of each node, by node.
std::vector<std::vector<Point>> pins_of_nodes(const std::vector<Item>& items,
                                              const std::vector<Spot>& spots,
                                              std::size_t node_count) {
    std::vector<std::vector<Point>> pins(node_count);
    for (std::size_t k = 0; k < items.size(); ++k) {
        for (std::size_t p = 0; p < items[k].pins.size(); ++p) {
            if (items[k].nodes[p] == none) continue;
            pins[static_cast<std::size_t>(items[k].nodes[p])].push_back(pin_at(spots[k], p));
        }
    }
    return pins;
}

int tree_length(const std::vector<Point>& pins) {
    std::vector<int> far(pins.size(), std::numeric_limits<int>::max());
    std::vector<bool> joined(pins.size(), false);
    int sum = 0;
    std::size_t last = 0;
    for (std::size_t k = 1; k < pins.size(); ++k) {
        joined[last] = true;
        std::size_t next = last;
        for (std::size_t p = 0; p < pins.size(); ++p) {
            if (joined[p]) continue;
            far[p] = std::min(far[p], apart(pins[p], pins[last]));
            if (next == last || far[p] < far[next]) next = p;
        }
        sum += far[next];
        last = next;
    }
    return sum;
}

// Wires in full, for one order of the nodes.
class Router {
  public:
    Router(const std::vector<std::vector<Point>>& pins, const std::vector<Point>& others,
           const Ground& ground)
        : pins_(pins),
          ground_(ground),
          width_(ground.columns),
          taken_(static_cast<std::size_t>(width_ * ground.rows), free_hole) {
        for (std::size_t n = 0; n < pins.size(); ++n) {
            for (const Point p : pins[n]) take(p, static_cast<int>(n));
        }
        for (const Point p : others) take(p, nobody);
    }

    void route(int node) {
        const auto& pins = pins_[static_cast<std::size_t>(node)];
        if (pins.size() < 2) return;
        std::vector<std::size_t> tree = {index(pins[0])};
        std::vector<bool> reached(taken_.size(), false);
        reached[tree[0]] = true;
        for (std::size_t left = pins.size() - 1; left > 0; --left) {
            const auto path = shortest(tree, reached, node);
            if (path.empty()) {
                jump(node, tree, reached);
                continue;
            }
            length += static_cast<double>(path.size() - 1);
            for (const std::size_t at : path) {
                if (!reached[at]) tree.push_back(at);
                reached[at] = true;
                taken_[at] = node;
            }
            note(node, path);
        }
    }

    double length = 0;
    int jumps = 0;
    int bends = 0;
    std::vector<LocalWire> wires = {};

  private:
    static constexpr int free_hole = -1;
    static constexpr int nobody = -2;

    std::size_t index(Point p) const { return to_size(p.v) * to_size(width_) + to_size(p.u); }
    Point point(std::size_t k) const {
        return {static_cast<int>(k) % width_, static_cast<int>(k) / width_};
    }
    bool inside(Point p) const {
        return p.u >= 0 && p.v >= 0 && p.u < width_ && p.v < ground_.rows;
    }
    void take(Point p, int node) {
        if (inside(p)) taken_[index(p)] = node;
    }

    // From the tree through free holes to the nearest pin of the node that it does not reach yet.
    std::vector<std::size_t> shortest(const std::vector<std::size_t>& tree,
                                      const std::vector<bool>& reached, int node) const {
        constexpr std::size_t unseen = std::numeric_limits<std::size_t>::max();
        std::vector<std::size_t> from(taken_.size(), unseen);
        std::vector<std::size_t> queue = tree;
        for (const std::size_t at : tree) from[at] = at;
        for (std::size_t head = 0; head < queue.size(); ++head) {
            const std::size_t at = queue[head];
            if (taken_[at] == node && !reached[at]) {
                std::vector<std::size_t> path = {at};
                while (from[path.back()] != path.back()) path.push_back(from[path.back()]);
                return path;
            }
            const Point p = point(at);
            // Straight on first, so that wires have few bends.
            const Point before = point(from[at]);
            const Point ahead{2 * p.u - before.u, 2 * p.v - before.v};
            for (const Point q : {ahead, Point{p.u + 1, p.v}, Point{p.u - 1, p.v},
                                  Point{p.u, p.v + 1}, Point{p.u, p.v - 1}}) {
                if (!inside(q)) continue;
                const std::size_t to = index(q);
                if (from[to] != unseen) continue;
                if (taken_[to] != free_hole && taken_[to] != node) continue;
                from[to] = at;
                queue.push_back(to);
            }
        }
        return {};
    }

    // An insulated wire to the nearest pin, over whatever lies between.
    void jump(int node, std::vector<std::size_t>& tree, std::vector<bool>& reached) {
        std::size_t start = tree[0];
        std::optional<std::size_t> end;
        for (const Point pin : pins_[static_cast<std::size_t>(node)]) {
            if (!inside(pin) || reached[index(pin)]) continue;
            for (const std::size_t at : tree) {
                if (end && apart(pin, point(at)) >= apart(point(*end), point(start))) continue;
                start = at;
                end = index(pin);
            }
        }
        if (!end) return;
        length += apart(point(start), point(*end));
        ++jumps;
        wires.push_back({node, point(start), point(*end), true});
        tree.push_back(*end);
        reached[*end] = true;
    }

    // The path as straight runs.
    void note(int node, const std::vector<std::size_t>& path) {
        Point start = point(path[0]);
        for (std::size_t k = 1; k < path.size(); ++k) {
            const Point here = point(path[k]);
            const bool ends = k + 1 == path.size();
            if (!ends) {
                const Point next = point(path[k + 1]);
                if ((next.u == here.u) == (start.u == here.u)) continue;
                ++bends;
            }
            wires.push_back({node, start, here, false});
            start = here;
        }
    }

    const std::vector<std::vector<Point>>& pins_;
    const Ground& ground_;
    int width_;
    std::vector<int> taken_;  // by hole: the node whose pin or wire is there
};

}  // namespace

Cost estimate_on_grid(const std::vector<Item>& items, const std::vector<Spot>& spots,
                      const Ground& ground, double limit) {
    std::vector<Rect> rects;
    Cost cost = cost_of_placing(items, spots, ground, rects, limit);
    if (cost.total() > limit) return cost;
    for (const auto& pins : pins_of_nodes(items, spots, ground.rails.size())) {
        cost.wires += tree_length(pins);
    }
    return cost;
}

Cost cost_on_grid(const std::vector<Item>& items, const std::vector<Spot>& spots,
                  const Ground& ground, int orders, std::vector<LocalWire>* wires, double limit) {
    std::vector<Rect> rects;
    Cost cost = cost_of_placing(items, spots, ground, rects, limit);
    if (cost.total() > limit) return cost;
    const auto pins = pins_of_nodes(items, spots, ground.rails.size());
    // No way is shorter than two thirds of the tree (Hwang, 1976); with faults pins may be
    // anywhere.
    Cost least_cost = cost;
    for (const auto& node : pins) least_cost.wires += tree_length(node);
    if (cost.faults > 0 || 2.0 / 3 * least_cost.wires + cost.size > limit) return least_cost;
    std::vector<Point> others;
    for (std::size_t k = 0; k < items.size(); ++k) {
        for (std::size_t p = 0; p < items[k].pins.size(); ++p) {
            if (items[k].nodes[p] == none) others.push_back(pin_at(spots[k], p));
        }
    }
    std::vector<int> order(pins.size());
    std::iota(order.begin(), order.end(), 0);
    std::vector<int> tree(pins.size());
    for (std::size_t n = 0; n < pins.size(); ++n) tree[n] = tree_length(pins[n]);
    // Short ones first, which have the least choice; then each in turn before all others.
    std::ranges::stable_sort(order, {}, [&](int n) { return tree[static_cast<std::size_t>(n)]; });
    double least = std::numeric_limits<double>::infinity();
    Cost best = cost;
    for (int k = 0; k < orders; ++k) {
        auto turn = order;
        if (k > 0) {
            if (k > static_cast<int>(order.size())) break;
            std::rotate(turn.begin(), turn.begin() + (k - 1), turn.begin() + k);
        }
        Router router(pins, others, ground);
        for (const int node : turn) router.route(node);
        Cost here = cost;
        here.wires = router.length;
        here.insulated = router.jumps;
        here.size += no_way * router.jumps + each_bend * router.bends;
        if (here.total() >= least) continue;
        least = here.total();
        best = here;
        if (wires) *wires = std::move(router.wires);
    }
    return best;
}

}  // namespace gapwright::layout
