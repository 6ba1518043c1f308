#include "draw/schematic_layout.hpp"

#include <algorithm>
#include <cstddef>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "draw/picture.hpp"
#include "draw/schematic.hpp"
#include "draw/schematic_order.hpp"
#include "draw/symbols.hpp"

namespace gapwright::schematic {
namespace {

constexpr double gutter = 18;       // left of a column's symbols: for the lead of a base
constexpr double least_text = 76;   // width kept for notes
constexpr double sign_lead = 14;    // from a symbol to the sign of the return below it
constexpr double control_way = 10;  // from a symbol to the upright part of its base's lead
constexpr double name_size = 13;
constexpr double note_size = 12;
constexpr double note_pitch = 15;

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

// Where a column's wire and words stand whose left edge is at `x`.
struct Place {
    Column column;     // without a strand yet
    double after = 0;  // where what follows begins
};

Place place_of(const SchematicSide& side, const Stack& stack, double x, bool text_left,
               std::set<std::string>& labelled) {
    double to_left = 8;
    double to_right = 10;
    bool controlled = false;
    double text = 0;
    for (const std::size_t s : stack) {
        for (const auto& part : side.strands[s].parts) {
            const auto width = part_width(part);
            to_left = std::max(to_left, width.left + 4);
            to_right = std::max(to_right, width.right);
            controlled = controlled || part.control_node;
            if (part.symbol != Symbol::logic_output) continue;
            double& aside = text_left ? to_right : to_left;
            aside = std::max(aside, output_return_at + 14);
        }
        text = std::max(text, text_needed(side, side.strands[s], labelled));
    }
    if (controlled) to_left += control_way;
    Column column{.text_left = text_left, .y = {}};
    if (text_left) {
        column.text_x = x + gutter + text;
        column.x = column.text_x + 8 + to_left;
    } else {
        column.x = x + gutter + to_left;
        column.text_x = column.x + to_right + 8;
    }
    column.control_x = column.x - to_left + 4;
    return {column, text_left ? column.x + to_right : column.text_x + text};
}

}  // namespace

double slot_height(const SchematicSide& side) {
    double slot = side.wordless ? 2 * symbol_half_height + 4 : 64;
    for (const auto& strand : side.strands) {
        for (const auto& part : strand.parts) {
            const auto lines = static_cast<double>(part.notes.size());
            if (!part.body.empty()) slot = std::max(slot, side.wordless ? 68.0 : 82.0);  // outlined
            if (!side.wordless) slot = std::max(slot, name_size + lines * note_pitch + 10);
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
    for (const Stack& stack : at.order) {
        const bool lit = std::ranges::any_of(stack, [&](std::size_t strand) {
            return std::ranges::any_of(side.strands[strand].parts, &SchematicPart::at_gap);
        });
        const Place place = place_of(side, stack, x, gap_on_right && lit, labelled);
        for (const std::size_t strand : stack) {
            Column column = place.column;
            column.strand = strand;
            column.y = std::move(at.part_y[strand]);
            column.turned = at.spans[strand].turned;
            layout.columns.push_back(std::move(column));
        }
        x = place.after;
    }
    layout.left = 0;
    layout.right = x;
    return layout;
}

}  // namespace gapwright::schematic
