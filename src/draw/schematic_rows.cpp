#include "draw/schematic_rows.hpp"

#include <algorithm>
#include <cstddef>
#include <map>
#include <numeric>
#include <string>
#include <vector>

#include "draw/schematic.hpp"
#include "draw/schematic_layout.hpp"

namespace gapwright::schematic {
std::size_t row_of(const Rows& rows, const std::string& node) {
    return static_cast<std::size_t>(std::ranges::find(rows, node) - rows.begin());
}

std::vector<std::string> inner_nodes(const SchematicSide& side) {
    std::vector<std::string> nodes;
    const auto note = [&](const std::string& name) {
        if (name != "supply" && name != "return" && std::ranges::find(nodes, name) == nodes.end()) {
            nodes.push_back(name);
        }
    };
    for (const auto& strand : side.strands) {
        note(strand.from);
        note(strand.to);
        for (const auto& part : strand.parts) {
            if (part.control_node) note(*part.control_node);
        }
    }
    return nodes;
}

std::vector<Down> downs_of(const SchematicSide& side, const std::vector<std::string>& nodes) {
    std::vector<Down> downs;
    const auto leads = [&](const std::string& from, const std::string& to) {
        std::vector<std::string> reached = {from};
        for (std::size_t k = 0; k < reached.size(); ++k) {
            for (const auto& [a, b] : downs) {
                if (a == reached[k] && std::ranges::find(reached, b) == reached.end()) {
                    reached.push_back(b);
                }
            }
        }
        return std::ranges::find(reached, to) != reached.end();
    };
    const auto is_inner = [&](const std::string& node) {
        return std::ranges::find(nodes, node) != nodes.end();
    };
    for (const auto& strand : side.strands) {
        if (is_inner(strand.from) && is_inner(strand.to) && !leads(strand.to, strand.from)) {
            downs.emplace_back(strand.from, strand.to);
        }
    }
    return downs;
}

Rows rows_by_depth(std::vector<std::string> nodes, const std::vector<Down>& downs) {
    std::map<std::string, int> depth;
    for (const auto& name : nodes) depth[name] = 1;
    for (std::size_t round = 0; round < nodes.size(); ++round) {
        for (const auto& [from, to] : downs) depth[to] = std::max(depth[to], depth[from] + 1);
    }
    std::ranges::stable_sort(nodes, {}, [&](const std::string& name) { return depth[name]; });
    Rows rows = {"supply"};
    rows.insert(rows.end(), nodes.begin(), nodes.end());
    rows.emplace_back("return");
    return rows;
}

bool flows_down(const Rows& rows, const std::vector<Down>& downs) {
    return std::ranges::all_of(downs, [&](const Down& down) {
        return row_of(rows, down.first) < row_of(rows, down.second);
    });
}

std::vector<Span> spans_of(const SchematicSide& side, const Rows& rows) {
    std::vector<Span> spans;
    for (const auto& strand : side.strands) {
        const std::size_t from = row_of(rows, strand.from);
        const std::size_t to = row_of(rows, strand.to);
        Span span{std::min(from, to), std::max(from, to), from > to};
        // Links never lead from a node to itself; such a strand still gets room to be seen.
        if (from == to && to + 1 < rows.size()) ++span.bottom;
        if (from == to && to + 1 == rows.size()) --span.top;
        spans.push_back(span);
    }
    return spans;
}

Heights heights_of(const SchematicSide& side, const std::vector<Span>& spans, std::size_t bands) {
    Heights heights;
    auto& capacity = heights.capacity;
    auto& share = heights.share;
    capacity.assign(bands, 0);
    share.assign(spans.size(), std::vector<std::size_t>(bands, 0));
    std::vector<std::size_t> by_span(spans.size());
    std::iota(by_span.begin(), by_span.end(), std::size_t{0});
    std::ranges::stable_sort(by_span, {},
                             [&](std::size_t s) { return spans[s].bottom - spans[s].top; });
    for (const std::size_t s : by_span) {
        std::size_t left = side.strands[s].parts.size();
        for (std::size_t b = spans[s].top; b < spans[s].bottom && left > 0; ++b) {
            share[s][b] = std::min(left, capacity[b]);
            left -= share[s][b];
        }
        // What finds no room makes room in the band with the least.
        for (; left > 0; --left) {
            std::size_t least = spans[s].top;
            for (std::size_t b = spans[s].top; b < spans[s].bottom; ++b) {
                if (capacity[b] < capacity[least]) least = b;
            }
            ++capacity[least];
            ++share[s][least];
        }
    }
    double y = 0;
    heights.row_y = {y};
    heights.slot = slot_height(side);
    heights.margin = side.wordless ? 10 : 22;
    for (std::size_t b = 0; b < bands; ++b) {
        y += 2 * heights.margin + static_cast<double>(capacity[b]) * heights.slot;
        heights.row_y.push_back(y);
    }
    return heights;
}

std::vector<double> part_heights(const Span& span, const Heights& heights, std::size_t strand) {
    std::vector<double> downwards;
    for (std::size_t b = span.top; b < span.bottom; ++b) {
        const std::size_t share = heights.share[strand][b];
        const auto count = static_cast<double>(share);
        const bool last = b + 2 == heights.row_y.size();
        const double room =
            (last ? count : static_cast<double>(heights.capacity[b])) * heights.slot;
        for (std::size_t k = 0; k < share; ++k) {
            downwards.push_back(heights.row_y[b] + heights.margin +
                                room * (static_cast<double>(k) + 0.5) / count);
        }
    }
    if (span.turned) std::ranges::reverse(downwards);
    return downwards;
}

}  // namespace gapwright::schematic
