// One side of a schematic. Internal to the layer.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "draw/gap_light.hpp"
#include "draw/picture.hpp"
#include "draw/schematic.hpp"
#include "draw/schematic_layout.hpp"

namespace gapwright {

// A side as it was drawn: where leads of a meter can be held.
struct DrawnSide {
    double bottom = 0;  // below everything of it
    std::map<std::string, std::vector<Point>> node_spots = {};
    std::map<std::string, std::vector<Point>> part_spots = {};  // below each part
    std::map<std::string, Point> lead_spots = {};               // above each part
    std::set<std::string> joints = {};  // parts that another follows without a node's name

    // Where a lead can be held: any of these; none for what is not drawn.
    std::vector<Point> spots(const LeadSpot& lead) const;
    // One spot of each node, named or not.
    std::vector<Point> every_node() const;
    // In the lead above a part, or, without a part, where the supply comes in.
    std::optional<Point> in_lead(const std::string& part) const;
};

// Draws it `dx` further right than it was laid out. Halves of packaged gaps whose light is level
// have their name there.
DrawnSide draw_side(Picture& picture, Side which, const SchematicSide& side,
                    const schematic::SideLayout& layout, double dx,
                    const std::vector<schematic::Light>& lights);

}  // namespace gapwright
