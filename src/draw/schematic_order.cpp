#include "draw/schematic_order.hpp"

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <utility>
#include <vector>

#include "draw/schematic.hpp"
#include "draw/schematic_rows.hpp"

namespace gapwright::schematic {
namespace {

bool ends_at(const Arrangement& at, const Stack& stack, std::size_t row) {
    return std::ranges::any_of(
        stack, [&](std::size_t s) { return at.spans[s].top == row || at.spans[s].bottom == row; });
}

bool passes(const Arrangement& at, const Stack& stack, std::size_t row) {
    return std::ranges::any_of(
        stack, [&](std::size_t s) { return at.spans[s].top < row && row < at.spans[s].bottom; });
}

bool touches(const SchematicSide& side, const Arrangement& at, const Stack& stack,
             std::size_t row) {
    if (ends_at(at, stack, row)) return true;
    return std::ranges::any_of(stack, [&](std::size_t s) {
        return std::ranges::any_of(side.strands[s].parts, [&](const SchematicPart& part) {
            return part.control_node && row_of(at.rows, *part.control_node) == row;
        });
    });
}

// Ties that the leads of a strand's bases and gates cross on their way to their own tie, the strand
// standing in column c.
int control_crossings(const SchematicSide& side, const Arrangement& at,
                      const std::vector<Stack>& order, std::size_t c, std::size_t s) {
    int count = 0;
    for (std::size_t k = 0; k < side.strands[s].parts.size(); ++k) {
        const auto& control = side.strands[s].parts[k].control_node;
        if (!control) continue;
        const double from = at.part_y[s][k];
        const double to = at.heights.row_y[row_of(at.rows, *control)];
        for (std::size_t row = 0; row < at.rows.size(); ++row) {
            const double y = at.heights.row_y[row];
            if (y <= std::min(from, to) || y >= std::max(from, to)) continue;
            // The lead stands left of the column: a tie passes it that has a column on its
            // left and this one, or one further right, on its right.
            const auto touched = [&](const Stack& other) { return touches(side, at, other, row); };
            const auto begin = order.begin();
            const auto here = begin + static_cast<std::ptrdiff_t>(c);
            count += std::any_of(begin, here, touched) && std::any_of(here, order.end(), touched)
                         ? 1
                         : 0;
        }
    }
    return count;
}

Cost cost_of(const SchematicSide& side, bool gap_on_right, const Arrangement& at,
             const std::vector<Stack>& order) {
    Cost cost;
    for (std::size_t row = 1; row + 1 < at.rows.size(); ++row) {
        std::size_t first = order.size();
        std::size_t last = 0;
        for (std::size_t c = 0; c < order.size(); ++c) {
            if (!touches(side, at, order[c], row)) continue;
            first = std::min(first, c);
            last = std::max(last, c);
        }
        for (std::size_t c = first; c < last; ++c) {
            // A base's tie ends left of its own column, so that column is not crossed.
            if (!passes(at, order[c], row)) continue;
            if (c > first || !ends_at(at, order[c], row)) ++cost.crossings;
        }
        if (first < order.size()) cost.length += static_cast<int>(last - first);
    }
    for (std::size_t c = 0; c < order.size(); ++c) {
        for (const std::size_t s : order[c]) {
            cost.crossings += control_crossings(side, at, order, c, s);
            for (const auto& part : side.strands[s].parts) {
                if (!part.at_gap) continue;
                cost.length += 2 * static_cast<int>(gap_on_right ? order.size() - 1 - c : c);
            }
        }
    }
    return cost;
}

// Every strand in a column of its own.
std::vector<Stack> apart(std::size_t strands) {
    std::vector<Stack> stacks;
    for (std::size_t s = 0; s < strands; ++s) stacks.push_back({s});
    return stacks;
}

// What ends at a node above what begins there, as a hand draws it: the coil above its transistor.
// Current that flows downwards goes first, then the order of the file.
std::vector<Stack> stacked(const Arrangement& at) {
    constexpr std::size_t none = static_cast<std::size_t>(-1);
    const std::size_t count = at.spans.size();
    std::vector<std::size_t> by_way(count);
    std::iota(by_way.begin(), by_way.end(), std::size_t{0});
    std::ranges::stable_sort(by_way, {}, [&](std::size_t s) { return at.spans[s].turned; });
    std::vector<std::size_t> below(count, none);
    std::vector<bool> has_above(count, false);
    for (const std::size_t upper : by_way) {
        const auto lower = std::ranges::find_if(by_way, [&](std::size_t s) {
            return !has_above[s] && at.spans[s].top == at.spans[upper].bottom;
        });
        if (lower == by_way.end()) continue;
        below[upper] = *lower;
        has_above[*lower] = true;
    }
    std::vector<Stack> stacks;
    for (std::size_t s = 0; s < count; ++s) {
        if (has_above[s]) continue;
        stacks.emplace_back();
        for (std::size_t next = s; next != none; next = below[next]) stacks.back().push_back(next);
    }
    return stacks;
}

// The cheapest order of columns: all of them for few, else exchanges of two until none helps.
void order_columns(const SchematicSide& side, bool gap_on_right, std::vector<Stack> stacks,
                   Arrangement& at) {
    constexpr std::size_t few = 7;
    std::vector<std::size_t> best(stacks.size());
    std::iota(best.begin(), best.end(), std::size_t{0});
    const auto in_order = [&](const std::vector<std::size_t>& order) {
        std::vector<Stack> columns;
        for (const std::size_t k : order) columns.push_back(stacks[k]);
        return columns;
    };
    at.order = in_order(best);
    at.cost = cost_of(side, gap_on_right, at, at.order);
    const auto try_order = [&](const std::vector<std::size_t>& order) {
        auto columns = in_order(order);
        const Cost cost = cost_of(side, gap_on_right, at, columns);
        if (!(cost < at.cost)) return false;
        at.cost = cost;
        at.order = std::move(columns);
        best = order;
        return true;
    };
    if (stacks.size() <= few) {
        auto order = best;
        while (std::ranges::next_permutation(order).found) try_order(order);
        return;
    }
    for (bool better = true; better;) {
        better = false;
        for (std::size_t a = 0; a < stacks.size(); ++a) {
            for (std::size_t b = a + 1; b < stacks.size(); ++b) {
                auto order = best;
                std::swap(order[a], order[b]);
                better = try_order(order) || better;
            }
        }
    }
}

Arrangement arranged(const SchematicSide& side, bool gap_on_right, Rows rows) {
    Arrangement at{.rows = std::move(rows)};
    at.spans = spans_of(side, at.rows);
    at.heights = heights_of(side, at.spans, at.rows.size() - 1);
    for (std::size_t s = 0; s < at.spans.size(); ++s) {
        at.part_y.push_back(part_heights(at.spans[s], at.heights, s));
    }
    auto stacks = stacked(at);
    Arrangement wide = at;
    order_columns(side, gap_on_right, std::move(stacks), at);
    if (at.cost.crossings == 0) return at;
    order_columns(side, gap_on_right, apart(at.spans.size()), wide);
    return wide.cost.crossings < at.cost.crossings ? wide : at;
}

}  // namespace

// Crossings that are left may go with the nodes in another order of rows: every order in which
// current still flows downwards, the first without a crossing taken.
Arrangement best_arrangement(const SchematicSide& side, bool gap_on_right) {
    constexpr std::size_t few = 6;  // rows between the rails
    const auto nodes = inner_nodes(side);
    const auto downs = downs_of(side, nodes);
    const Rows first = rows_by_depth(nodes, downs);
    Arrangement best = arranged(side, gap_on_right, first);
    std::vector<std::size_t> inner(nodes.size());
    std::iota(inner.begin(), inner.end(), std::size_t{1});
    while (inner.size() <= few && best.cost.crossings > 0 &&
           std::ranges::next_permutation(inner).found) {
        Rows rows = first;
        for (std::size_t r = 0; r < inner.size(); ++r) rows[r + 1] = first[inner[r]];
        if (!flows_down(rows, downs)) continue;
        Arrangement other = arranged(side, gap_on_right, std::move(rows));
        if (other.cost < best.cost) best = std::move(other);
    }
    return best;
}

}  // namespace gapwright::schematic
