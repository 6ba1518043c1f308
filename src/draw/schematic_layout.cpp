#include "draw/schematic_layout.hpp"

#include <algorithm>
#include <cstddef>
#include <map>
#include <numeric>
#include <set>
#include <string>
#include <utility>
#include <vector>
#include "draw/picture.hpp"
#include "draw/schematic.hpp"
#include "draw/symbols.hpp"

namespace gapwright::layout {
namespace {

constexpr double row_margin = 22;  // above and below a node's tie: its label stands there
constexpr double gutter = 18;      // left of a column's symbols: for the lead of a base
constexpr double least_text = 76;  // width kept for notes
constexpr double sign_lead = 14;   // from a symbol to the sign of the return below it
constexpr double name_size = 13;
constexpr double note_size = 12;
constexpr double note_pitch = 15;

using Rows = std::vector<std::string>;             // nodes, from the supply to the return
using Down = std::pair<std::string, std::string>;  // the ends of a strand that leads downwards

// A strand between two rows, top row first.
struct Span {
    std::size_t top;
    std::size_t bottom;
    bool turned;
};

// How high rows lie, and what stands in each band between one and the next.
struct Heights {
    double slot = 0;  // of one part with its notes
    std::vector<double> row_y = {};
    std::vector<std::size_t> capacity = {};            // by band
    std::vector<std::vector<std::size_t>> share = {};  // by strand and band: parts there
};

// Ties over columns that do not belong to their node, for an order of the columns; and besides, in
// hundredths, how long the ties are and how far gap parts stand from the gap.
struct Cost {
    int crossings = 0;
    int length = 0;
    auto operator<=>(const Cost&) const = default;
};

// Rows, and the cheapest order of columns for them.
struct Arrangement {
    Rows rows;
    std::vector<Span> spans = {};
    Heights heights = {};
    std::vector<std::vector<double>> part_y = {};  // by strand
    std::vector<std::size_t> order = {};           // of strands, as columns
    Cost cost = {};
};

std::size_t row_of(const Rows& rows, const std::string& node) {
    return static_cast<std::size_t>(std::ranges::find(rows, node) - rows.begin());
}

// In the order in which strands speak of them, without the rails.
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

// Strands that lead down from one inner node to another. One that would close a circle (the second
// of an antiparallel pair) does not count: the one that the file states first is drawn downwards.
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

// Each node below those that current comes from, by the longest way down from the supply.
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

// How many parts of each strand stand between one row and the next, and how high that makes
// the rows' distances.
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
    for (std::size_t b = 0; b < bands; ++b) {
        y += 2 * row_margin + static_cast<double>(capacity[b]) * heights.slot;
        heights.row_y.push_back(y);
    }
    return heights;
}

// Of a strand's parts: evenly in the room of their band, but right below the tie where the return
// comes next; the strand's order runs upwards in a turned column.
std::vector<double> part_heights(const Span& span, const Heights& heights, std::size_t strand) {
    std::vector<double> downwards;
    for (std::size_t b = span.top; b < span.bottom; ++b) {
        const std::size_t share = heights.share[strand][b];
        const auto count = static_cast<double>(share);
        const bool last = b + 2 == heights.row_y.size();
        const double room =
            (last ? count : static_cast<double>(heights.capacity[b])) * heights.slot;
        for (std::size_t k = 0; k < share; ++k) {
            downwards.push_back(heights.row_y[b] + row_margin +
                                room * (static_cast<double>(k) + 0.5) / count);
        }
    }
    if (span.turned) std::ranges::reverse(downwards);
    return downwards;
}

bool ends_at(const Span& span, std::size_t row) {
    return span.top == row || span.bottom == row;
}

bool touches(const SchematicSide& side, const Arrangement& at, std::size_t strand,
             std::size_t row) {
    if (ends_at(at.spans[strand], row)) return true;
    return std::ranges::any_of(side.strands[strand].parts, [&](const SchematicPart& part) {
        return part.control_node && row_of(at.rows, *part.control_node) == row;
    });
}

// Ties that the leads of a column's bases and gates cross on their way to their own tie.
int control_crossings(const SchematicSide& side, const Arrangement& at,
                      const std::vector<std::size_t>& order, std::size_t c) {
    int count = 0;
    const std::size_t s = order[c];
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
            const auto touched = [&](std::size_t other) { return touches(side, at, other, row); };
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
             const std::vector<std::size_t>& order) {
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
            const Span& span = at.spans[order[c]];
            // A base's tie ends left of its own column, so that column is not crossed.
            const bool passes = span.top < row && row < span.bottom;
            if (passes && c > first) ++cost.crossings;
            if (passes && c == first && !ends_at(at.spans[order[c]], row)) ++cost.crossings;
        }
        if (first < order.size()) cost.length += static_cast<int>(last - first);
    }
    for (std::size_t c = 0; c < order.size(); ++c) {
        cost.crossings += control_crossings(side, at, order, c);
        for (const auto& part : side.strands[order[c]].parts) {
            if (!part.at_gap) continue;
            cost.length += static_cast<int>(gap_on_right ? order.size() - 1 - c : c);
        }
    }
    return cost;
}

// The cheapest order of columns: all of them for few, else exchanges of two until none helps.
void order_columns(const SchematicSide& side, bool gap_on_right, Arrangement& at) {
    constexpr std::size_t few = 7;
    at.order.resize(side.strands.size());
    std::iota(at.order.begin(), at.order.end(), std::size_t{0});
    at.cost = cost_of(side, gap_on_right, at, at.order);
    const auto try_order = [&](const std::vector<std::size_t>& order) {
        const Cost cost = cost_of(side, gap_on_right, at, order);
        if (!(cost < at.cost)) return false;
        at.cost = cost;
        at.order = order;
        return true;
    };
    if (at.order.size() <= few) {
        auto order = at.order;
        while (std::ranges::next_permutation(order).found) try_order(order);
        return;
    }
    for (bool better = true; better;) {
        better = false;
        for (std::size_t a = 0; a < at.order.size(); ++a) {
            for (std::size_t b = a + 1; b < at.order.size(); ++b) {
                auto order = at.order;
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
    order_columns(side, gap_on_right, at);
    return at;
}

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

// `labelled` are the nodes whose labels stand already.
double text_needed(const SchematicSide& side, const SchematicStrand& strand,
                   std::set<std::string>& labelled) {
    if (side.wordless) return 8;
    double widest = least_text;
    for (const auto& part : strand.parts) {
        widest = std::max(widest, text_width(part.name, name_size));
        for (const auto& note : part.notes) {
            widest = std::max(widest, text_width(note, note_size));
        }
    }
    // A node's label stands at the first column that ends at it.
    for (const auto& node : side.nodes) {
        if (strand.from != node.name && strand.to != node.name) continue;
        if (!labelled.insert(node.name).second) continue;
        widest = std::max(
            {widest,
             text_width(node.name, note_size) +
                 (node.note.empty() ? 0 : std::max(least_text, text_width(node.note, note_size))) +
                 10,
             text_width(node.band, note_size)});
    }
    return widest;
}

// The column of a strand whose left edge is at `x`; what follows begins at the second.
std::pair<Column, double> column_of(const SchematicSide& side, std::size_t s, double x,
                                    bool text_left, std::set<std::string>& labelled) {
    const SchematicStrand& strand = side.strands[s];
    double to_left = 8;
    double to_right = 10;
    for (const auto& part : strand.parts) {
        const auto width = part_width(part);
        to_left = std::max(to_left, width.left + (part.control_node ? 14 : 4));
        to_right = std::max(to_right, width.right);
    }
    const double text = text_needed(side, strand, labelled);
    Column column{.strand = s, .x = 0, .text_x = 0, .text_left = text_left, .y = {}, .turned = {}};
    if (text_left) {
        column.text_x = x + gutter + text;
        column.x = column.text_x + 8 + to_left;
        return {column, column.x + to_right};
    }
    column.x = x + gutter + to_left;
    column.text_x = column.x + to_right + 8;
    return {column, column.text_x + text};
}

}  // namespace

double slot_height(const SchematicSide& side) {
    double slot = 64;
    for (const auto& strand : side.strands) {
        for (const auto& part : strand.parts) {
            const auto lines = static_cast<double>(part.notes.size());
            slot = std::max(slot, name_size + lines * note_pitch + 10);
            if (!part.body.empty()) slot = std::max(slot, 82.0);  // with its outline
        }
    }
    return slot;
}

SymbolWidth part_width(const SchematicPart& part) {
    if (!part.at_gap) return symbol_width(part.symbol);
    if (!part.body.empty()) return {part.control_node ? 22.0 : 20.0, 20};  // with its outline
    return {part.control_node ? 18.0 : 10.0, 10};
}

double sign_height(const SchematicSide& side, const SideLayout& layout, const Column& column) {
    const SchematicStrand& strand = side.strands[column.strand];
    const std::string& other = column.turned ? strand.to : strand.from;
    const auto row = layout.row.find(other);
    if (strand.parts.empty()) return (row == layout.row.end() ? 0 : row->second) + sign_lead;
    return std::ranges::max(column.y) + symbol_half_height + sign_lead;
}

SideLayout lay_out(const SchematicSide& side, bool gap_on_right) {
    Arrangement at = best_arrangement(side, gap_on_right);
    SideLayout layout;
    layout.crossings = at.cost.crossings;
    for (std::size_t r = 0; r < at.rows.size(); ++r) layout.row[at.rows[r]] = at.heights.row_y[r];
    layout.top = 0;
    std::set<std::string> labelled;
    double x = 0;
    for (const std::size_t s : at.order) {
        const auto& parts = side.strands[s].parts;
        const bool lit = std::ranges::any_of(parts, &SchematicPart::at_gap);
        auto [column, after] = column_of(side, s, x, gap_on_right && lit, labelled);
        column.y = std::move(at.part_y[s]);
        column.turned = at.spans[s].turned;
        x = after;
        layout.columns.push_back(std::move(column));
    }
    layout.left = 0;
    layout.right = x;
    return layout;
}

}  // namespace gapwright::layout
