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

constexpr double slot_height = 86;  // of one part with its notes
constexpr double row_margin = 26;   // above and below a node's tie: its label stands there
constexpr double gutter = 22;       // left of a column's symbols: for the lead of a base
constexpr double least_text = 74;   // width kept for notes
constexpr double name_size = 13;
constexpr double note_size = 11;

// A strand between two rows, top row first.
struct Span {
    std::size_t top;
    std::size_t bottom;
    bool turned;
};

class Layouter {
  public:
    Layouter(const SchematicSide& side, bool gap_on_right)
        : side_(side), gap_on_right_(gap_on_right) {}

    SideLayout run() {
        order_rows();
        Cost best = arrange();
        if (best.crossings > 0) best = try_other_rows(best);
        make_spans();
        place_rows();
        result_.crossings = best.crossings;
        place_columns();
        return std::move(result_);
    }

  private:
    std::size_t row_of(const std::string& node) const {
        const auto found = std::ranges::find(rows_, node);
        return static_cast<std::size_t>(found - rows_.begin());
    }

    // Nodes from supply to return, each below the nodes that current comes from.
    void order_rows() {
        std::vector<std::string> nodes;
        const auto note = [&](const std::string& name) {
            if (name != "supply" && name != "return" &&
                std::ranges::find(nodes, name) == nodes.end()) {
                nodes.push_back(name);
            }
        };
        for (const auto& strand : side_.strands) {
            note(strand.from);
            note(strand.to);
            for (const auto& part : strand.parts) {
                if (part.control_node) note(*part.control_node);
            }
        }
        // Longest way down from the supply. A strand that would close a circle (the second of an
        // antiparallel pair) does not count: the one that the file states first is drawn downwards.
        std::map<std::string, int> depth;
        for (const auto& name : nodes) depth[name] = 1;
        const auto leads = [&](const std::string& from, const std::string& to) {
            std::vector<std::string> reached = {from};
            for (std::size_t k = 0; k < reached.size(); ++k) {
                for (const auto& [a, b] : downs_) {
                    if (a == reached[k] && std::ranges::find(reached, b) == reached.end()) {
                        reached.push_back(b);
                    }
                }
            }
            return std::ranges::find(reached, to) != reached.end();
        };
        for (const auto& strand : side_.strands) {
            const bool inner = depth.contains(strand.from) && depth.contains(strand.to);
            if (inner && !leads(strand.to, strand.from)) {
                downs_.emplace_back(strand.from, strand.to);
            }
        }
        for (std::size_t round = 0; round < nodes.size(); ++round) {
            for (const auto& [from, to] : downs_) depth[to] = std::max(depth[to], depth[from] + 1);
        }
        std::ranges::stable_sort(nodes, {}, [&](const std::string& name) { return depth[name]; });
        rows_ = {"supply"};
        rows_.insert(rows_.end(), nodes.begin(), nodes.end());
        rows_.emplace_back("return");
    }

    bool flows_down() const {
        return std::ranges::all_of(
            downs_, [&](const auto& down) { return row_of(down.first) < row_of(down.second); });
    }

    void make_spans() {
        spans_.clear();
        for (const auto& strand : side_.strands) {
            const std::size_t from = row_of(strand.from);
            const std::size_t to = row_of(strand.to);
            Span span{std::min(from, to), std::max(from, to), from > to};
            // Links never lead from a node to itself; such a strand still gets room to be seen.
            if (from == to && to + 1 < rows_.size()) ++span.bottom;
            if (from == to && to + 1 == rows_.size()) --span.top;
            spans_.push_back(span);
        }
    }

    // Ties over columns that do not belong to their node, for an order of the columns; and besides,
    // in hundredths, how long the ties are and how far gap parts stand from the gap.
    struct Cost {
        int crossings = 0;
        int length = 0;
        auto operator<=>(const Cost&) const = default;
    };
    Cost cost_of(const std::vector<std::size_t>& order) const {
        Cost cost;
        for (std::size_t row = 1; row + 1 < rows_.size(); ++row) {
            std::size_t first = order.size();
            std::size_t last = 0;
            for (std::size_t c = 0; c < order.size(); ++c) {
                if (!touches(order[c], row)) continue;
                first = std::min(first, c);
                last = std::max(last, c);
            }
            for (std::size_t c = first; c < last; ++c) {
                const Span& span = spans_[order[c]];
                // A base's tie ends left of its own column, so that column is not crossed.
                const bool passes = span.top < row && row < span.bottom;
                if (passes && c > first) ++cost.crossings;
                if (passes && c == first && !ends_at(order[c], row)) ++cost.crossings;
            }
            if (first < order.size()) cost.length += static_cast<int>(last - first);
        }
        for (std::size_t c = 0; c < order.size(); ++c) {
            cost.crossings += control_crossings(order, c);
            for (const auto& part : side_.strands[order[c]].parts) {
                if (!part.at_gap) continue;
                cost.length += static_cast<int>(gap_on_right_ ? order.size() - 1 - c : c);
            }
        }
        return cost;
    }

    // Ties that the leads of a column's bases and gates cross on their way to their own tie.
    int control_crossings(const std::vector<std::size_t>& order, std::size_t c) const {
        int count = 0;
        const std::size_t s = order[c];
        for (std::size_t k = 0; k < side_.strands[s].parts.size(); ++k) {
            const auto& control = side_.strands[s].parts[k].control_node;
            if (!control) continue;
            const double from = part_y_[s][k];
            const double to = row_y_[row_of(*control)];
            for (std::size_t row = 0; row < rows_.size(); ++row) {
                const double y = row_y_[row];
                if (y <= std::min(from, to) || y >= std::max(from, to)) continue;
                // The lead stands left of the column: a tie passes it that has a column on its
                // left and this one, or one further right, on its right.
                const auto touched = [&](std::size_t other) { return touches(other, row); };
                const auto begin = order.begin();
                const auto here = begin + static_cast<std::ptrdiff_t>(c);
                count +=
                    std::any_of(begin, here, touched) && std::any_of(here, order.end(), touched)
                        ? 1
                        : 0;
            }
        }
        return count;
    }

    bool ends_at(std::size_t strand, std::size_t row) const {
        return spans_[strand].top == row || spans_[strand].bottom == row;
    }
    bool touches(std::size_t strand, std::size_t row) const {
        if (ends_at(strand, row)) return true;
        return std::ranges::any_of(side_.strands[strand].parts, [&](const SchematicPart& part) {
            return part.control_node && row_of(*part.control_node) == row;
        });
    }

    // Rows, columns and what they cost, for the present order of the nodes.
    Cost arrange() {
        make_spans();
        place_rows();
        part_y_.clear();
        for (std::size_t s = 0; s < spans_.size(); ++s) {
            Column column{.strand = s, .x = 0, .text_x = 0, .y = {}, .turned = spans_[s].turned};
            place_parts(s, column);
            part_y_.push_back(std::move(column.y));
        }
        return order_columns();
    }

    // Crossings that are left may go with the nodes in another order of rows: every order in which
    // current still flows downwards, the first without a crossing taken.
    Cost try_other_rows(Cost best) {
        constexpr std::size_t few = 6;  // rows between the rails
        auto best_rows = rows_;
        auto best_order = order_;
        std::vector<std::size_t> inner(rows_.size() - 2);
        std::iota(inner.begin(), inner.end(), std::size_t{1});
        const auto first_rows = rows_;
        while (inner.size() <= few && best.crossings > 0 &&
               std::ranges::next_permutation(inner).found) {
            for (std::size_t r = 0; r < inner.size(); ++r) rows_[r + 1] = first_rows[inner[r]];
            if (!flows_down()) continue;
            const Cost cost = arrange();
            if (!(cost < best)) continue;
            best = cost;
            best_rows = rows_;
            best_order = order_;
        }
        rows_ = best_rows;
        order_ = best_order;
        return best;
    }

    // The cheapest order: all of them for few columns, else exchanges of two until none helps.
    Cost order_columns() {
        order_.resize(side_.strands.size());
        std::iota(order_.begin(), order_.end(), std::size_t{0});
        constexpr std::size_t few = 7;
        Cost best = cost_of(order_);
        if (order_.size() <= few) {
            auto order = order_;
            while (std::ranges::next_permutation(order).found) {
                const Cost cost = cost_of(order);
                if (cost < best) {
                    best = cost;
                    order_ = order;
                }
            }
        } else {
            bool better = true;
            while (better) {
                better = false;
                for (std::size_t a = 0; a < order_.size(); ++a) {
                    for (std::size_t b = a + 1; b < order_.size(); ++b) {
                        auto order = order_;
                        std::swap(order[a], order[b]);
                        const Cost cost = cost_of(order);
                        if (!(cost < best)) continue;
                        best = cost;
                        order_ = order;
                        better = true;
                    }
                }
            }
        }
        return best;
    }

    // How many parts of each strand stand between one row and the next, and how high that makes
    // the rows' distances.
    void place_rows() {
        const std::size_t bands = rows_.size() - 1;
        std::vector<std::size_t> capacity(bands, 0);
        share_.assign(spans_.size(), std::vector<std::size_t>(bands, 0));
        std::vector<std::size_t> by_span(spans_.size());
        std::iota(by_span.begin(), by_span.end(), std::size_t{0});
        std::ranges::stable_sort(by_span, {},
                                 [&](std::size_t s) { return spans_[s].bottom - spans_[s].top; });
        for (const std::size_t s : by_span) {
            std::size_t left = side_.strands[s].parts.size();
            for (std::size_t b = spans_[s].top; b < spans_[s].bottom && left > 0; ++b) {
                share_[s][b] = std::min(left, capacity[b]);
                left -= share_[s][b];
            }
            // What finds no room makes room in the band with the least.
            for (; left > 0; --left) {
                std::size_t least = spans_[s].top;
                for (std::size_t b = spans_[s].top; b < spans_[s].bottom; ++b) {
                    if (capacity[b] < capacity[least]) least = b;
                }
                ++capacity[least];
                ++share_[s][least];
            }
        }
        double y = 0;
        row_y_ = {y};
        for (std::size_t b = 0; b < bands; ++b) {
            y += 2 * row_margin + static_cast<double>(capacity[b]) * slot_height;
            row_y_.push_back(y);
        }
        capacity_ = capacity;
    }

    double text_needed(const SchematicStrand& strand) {
        double widest = least_text;
        for (const auto& part : strand.parts) {
            widest = std::max(widest, text_width(part.name, name_size));
            for (const auto& note : part.notes) {
                widest = std::max(widest, text_width(note, note_size));
            }
        }
        // A node's label stands at the first column that ends at it.
        for (const auto& node : side_.nodes) {
            if (strand.from != node.name && strand.to != node.name) continue;
            if (!labelled_.insert(node.name).second) continue;
            widest = std::max(
                {widest, text_width(node.name, note_size) + text_width(node.note, note_size) + 10,
                 text_width(node.band, note_size)});
        }
        return widest;
    }

    void place_columns() {
        for (std::size_t r = 0; r < rows_.size(); ++r) result_.row[rows_[r]] = row_y_[r];
        result_.top = 0;
        result_.bottom = row_y_.back();
        double x = 0;
        for (const std::size_t s : order_) {
            const SchematicStrand& strand = side_.strands[s];
            double to_left = 8;
            double to_right = 10;
            for (const auto& part : strand.parts) {
                const auto width = symbol_width(part.symbol);
                to_left = std::max(to_left, width.left + (part.control_node ? 14 : 4));
                to_right = std::max(to_right, width.right);
            }
            Column column{.strand = s,
                          .x = x + gutter + to_left,
                          .text_x = 0,
                          .y = {},
                          .turned = spans_[s].turned};
            column.text_x = column.x + to_right + 8;
            place_parts(s, column);
            x = column.text_x + text_needed(strand);
            result_.columns.push_back(std::move(column));
        }
        result_.left = 0;
        result_.right = x;
    }

    // Parts evenly in the room of their band; the strand's order runs upwards in a turned column.
    void place_parts(std::size_t s, Column& column) const {
        std::vector<double> downwards;
        for (std::size_t b = spans_[s].top; b < spans_[s].bottom; ++b) {
            const double room = static_cast<double>(capacity_[b]) * slot_height;
            const auto count = static_cast<double>(share_[s][b]);
            for (std::size_t k = 0; k < share_[s][b]; ++k) {
                downwards.push_back(row_y_[b] + row_margin +
                                    room * (static_cast<double>(k) + 0.5) / count);
            }
        }
        if (column.turned) std::ranges::reverse(downwards);
        column.y = std::move(downwards);
    }

    const SchematicSide& side_;
    bool gap_on_right_;
    SideLayout result_;
    std::vector<std::string> rows_;
    std::vector<std::pair<std::string, std::string>> downs_;  // strands that lead downwards
    std::vector<Span> spans_;
    std::vector<std::size_t> order_;
    std::vector<std::vector<std::size_t>> share_;  // by strand and band: parts that stand there
    std::vector<std::size_t> capacity_;            // by band
    std::vector<std::vector<double>> part_y_;      // by strand
    std::vector<double> row_y_;
    std::set<std::string> labelled_;
};

}  // namespace

SideLayout lay_out(const SchematicSide& side, bool gap_on_right) {
    return Layouter(side, gap_on_right).run();
}

}  // namespace gapwright::layout
