// The halves of each gap at one height.
#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include "draw/schematic.hpp"
#include "draw/schematic_layout.hpp"

namespace gapwright::schematic {
namespace {

constexpr double pitch = 82;  // from the light of one gap to that of the next
constexpr double same = 0.5;  // px: heights that count as one

// Half of a gap on one side: where it stands.
struct Half {
    std::string name;
    std::size_t column;
    std::size_t part;
};

// From top to bottom.
std::vector<Half> halves_of(const SchematicSide& side, const SideLayout& layout) {
    std::vector<Half> halves;
    for (std::size_t c = 0; c < layout.columns.size(); ++c) {
        const auto& parts = side.strands[layout.columns[c].strand].parts;
        for (std::size_t k = 0; k < parts.size(); ++k) {
            if (parts[k].at_gap) halves.push_back({parts[k].name, c, k});
        }
    }
    std::ranges::stable_sort(halves, {},
                             [&](const Half& h) { return layout.columns[h.column].y[h.part]; });
    return halves;
}

double& height(SideLayout& layout, const Half& half) {
    return layout.columns[half.column].y[half.part];
}

// Moves a half down, and with it everything that stands lower.
void lower(SideLayout& layout, const Half& half, double by) {
    const double from = height(layout, half);
    for (auto& [node, y] : layout.row) {
        if (y > from) y += by;
    }
    for (auto& column : layout.columns) {
        for (double& y : column.y) {
            if (y > from + same) y += by;
        }
    }
    height(layout, half) += by;
}

}  // namespace

void level_gaps(const SchematicSide& input, SideLayout& input_layout, const SchematicSide& output,
                SideLayout& output_layout) {
    const auto emitters = halves_of(input, input_layout);
    const auto receivers = halves_of(output, output_layout);
    double free_from = 0;       // where the light of the next may be
    double last_received = -1;  // the lowest receiver that is level already
    for (const Half& emitter : emitters) {
        const auto receiver = std::ranges::find(receivers, emitter.name, &Half::name);
        if (receiver == receivers.end()) continue;
        const double wanted =
            std::max({height(input_layout, emitter), free_from, height(output_layout, *receiver)});
        lower(input_layout, emitter, wanted - height(input_layout, emitter));
        // What stands above one that is level already cannot come down past it.
        if (height(output_layout, *receiver) > last_received - same) {
            lower(output_layout, *receiver, wanted - height(output_layout, *receiver));
            last_received = height(output_layout, *receiver);
        }
        free_from = height(input_layout, emitter) + pitch;
    }
}

}  // namespace gapwright::schematic
