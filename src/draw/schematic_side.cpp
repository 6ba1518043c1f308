#include "draw/schematic_side.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "draw/gap_light.hpp"
#include "draw/picture.hpp"
#include "draw/schematic.hpp"
#include "draw/schematic_layout.hpp"
#include "draw/symbols.hpp"

namespace gapwright {
namespace {

constexpr double h = symbol_half_height;
constexpr double name_size = 13;
constexpr double note_size = 12;
constexpr double note_pitch = 15;

// Draws one side, shifted to where it belongs.
class SideDrawer {
  public:
    SideDrawer(Picture& picture, Side which, const SchematicSide& side,
               const schematic::SideLayout& layout, double dx,
               const std::vector<schematic::Light>& lights)
        : picture_(picture),
          which_(which),
          side_(side),
          layout_(layout),
          dx_(dx),
          lights_(lights) {}

    void draw() {
        for (const auto& column : layout_.columns) draw_column(column);
        for (const auto& [node, y] : layout_.row) draw_tie(node, y);
        label_supply();
        for (const auto& node : side_.nodes) label_node(node);
    }

    DrawnSide drawn() && { return std::move(drawn_); }

  private:
    // Where a lead meets a node's tie, and whether it carries current.
    struct Touch {
        double x;
        bool live;
    };

    double x_of(const schematic::Column& column) const { return column.x + dx_; }

    void wire(Point from, Point to, const std::string& node, bool live) {
        drawn_.bottom = std::max({drawn_.bottom, from.y, to.y});
        picture_.wire({from, to}, (which_ == Side::input ? "input." : "output.") + node,
                      live ? "wire live" : "wire");
    }

    void draw_column(const schematic::Column& column) {
        const SchematicStrand& strand = side_.strands[column.strand];
        const double x = x_of(column);
        const double direction = column.turned ? -1 : 1;
        const bool live = is_live(strand);
        double here = end_height(column, strand.from, live);
        std::string node = strand.from;
        for (std::size_t k = 0; k < strand.parts.size(); ++k) {
            const SchematicPart& part = strand.parts[k];
            const double y = column.y[k];
            wire({x, here}, {x, y - direction * h}, node, live);
            drawn_.lead_spots.try_emplace(part.name, Point{x, y - direction * h});
            draw_part(part, column, y);
            drawn_.part_spots[part.name].push_back({x, y + direction * h});
            if (k + 1 < strand.parts.size()) drawn_.joints.insert(part.name);
            if (part.control_node) draw_control(part, column, y, live);
            here = y + direction * h;
            node = fmt::format("{}#{}", column.strand, k);
        }
        wire({x, here}, {x, end_height(column, strand.to, live)}, strand.to, live);
    }

    static bool is_live(const SchematicStrand& strand) {
        return !strand.parts.empty() && std::ranges::any_of(strand.parts, &SchematicPart::live);
    }

    // The end of a column: at a node's tie, or at a sign of the return.
    double end_height(const schematic::Column& column, const std::string& node, bool live) {
        if (node != "return") {
            touched_[node].push_back({x_of(column), live});
            return layout_.row.at(node);
        }
        const double y = schematic::sign_height(side_, layout_, column);
        draw_return({x_of(column), y});
        if (&column == named_return()) name_return({x_of(column), y}, column.text_left);
        return y;
    }

    // The column at whose sign the return's name stands: once, and where no base's lead passes it.
    const schematic::Column* named_return() const {
        const schematic::Column* named = nullptr;
        for (const auto& column : layout_.columns) {
            const auto& strand = side_.strands[column.strand];
            if (strand.from != "return" && strand.to != "return") continue;
            const bool is_free = !column.text_left || !is_controlled(column);
            if (named == nullptr || is_free) named = &column;
            if (is_free) break;
        }
        return named;
    }

    bool is_controlled(const schematic::Column& column) const {
        return std::ranges::any_of(layout_.columns, [&](const schematic::Column& other) {
            return other.x == column.x &&
                   std::ranges::any_of(
                       side_.strands[other.strand].parts,
                       [](const SchematicPart& part) { return part.control_node.has_value(); });
        });
    }

    void name_return(Point at, bool to_left) {
        picture_.text({to_left ? at.x + 11 : at.x - 11, at.y + 26},
                      which_ == Side::input ? "return, input" : "return, output", "small",
                      to_left ? Anchor::end : Anchor::start, note_size);
        drawn_.bottom = std::max(drawn_.bottom, at.y + 30);
    }

    // Either side has a sign of its own, so that nobody takes the two for one.
    void draw_return(Point at) {
        switch (which_) {
            case Side::input:
                picture_.path(fmt::format("M{:.1f} {:.1f}h20l-10 11Z", at.x - 10, at.y), "body");
                picture_.line({{at.x - 10, at.y}, {at.x + 10, at.y}}, "ink");
                break;
            case Side::output:
                picture_.line({{at.x - 11, at.y}, {at.x + 11, at.y}}, "heavy");
                break;
        }
        drawn_.node_spots["return"].push_back(at);
        drawn_.bottom = std::max(drawn_.bottom, at.y + 14);
    }

    void draw_part(const SchematicPart& part, const schematic::Column& column, double y) {
        std::string css = "part";
        if (part.to_choose) css += " to-choose";
        if (part.live) css += " live";
        if (part.active) css += part.symbol == Symbol::led ? " shining" : " active";
        if (part.shine != Shine::dark) css += " shining";
        std::string data = fmt::format("data-part=\"{}\"", xml_escaped(part.name));
        if (!part.range.empty()) data += fmt::format(" data-range=\"{}\"", xml_escaped(part.range));
        if (!part.press.empty()) data += fmt::format(" data-press=\"{}\"", xml_escaped(part.press));
        // A page lets its reader point at the part: symbol and words together.
        picture_.begin_group(css, data);
        draw_symbol(picture_, part.symbol,
                    {.centre = {x_of(column), y},
                     .turned = column.turned,
                     .closed = part.closed,
                     .base = part.control_node.has_value(),
                     .rays = !part.at_gap},
                    part.name);
        label_part(part, column, y);
        picture_.end_group();
        if (part.symbol == Symbol::logic_output) draw_output_return(column, y);
        drawn_.bottom = std::max(drawn_.bottom, y + h);
    }

    // What an output takes in when it is low goes to the return of its side: its third terminal.
    void draw_output_return(const schematic::Column& column, double y) {
        const double way = column.text_left ? 1 : -1;
        const double x = x_of(column);
        const double out = x + way * schematic::output_return_at;
        wire({x + way * symbol_width(Symbol::logic_output).right, y + 6}, {out, y + 6}, "return",
             false);
        wire({out, y + 6}, {out, y + 13}, "return", false);
        draw_return({out, y + 13});
    }

    void label_part(const SchematicPart& part, const schematic::Column& column, double y) {
        const Anchor anchor = column.text_left ? Anchor::end : Anchor::start;
        const double x = column.text_x + dx_;
        const auto lines = static_cast<double>(part.notes.size());
        // The name of a packaged gap stands once, at its light, where its halves are level.
        const bool named =
            part.body.empty() || std::ranges::none_of(lights_, [&](const schematic::Light& light) {
                return light.name == part.name && light.level();
            });
        double baseline = y - (named ? lines : lines + 1) * note_pitch / 2 + 4;
        if (named) picture_.text({x, baseline}, part.name, "name", anchor, name_size);
        for (const auto& note : part.notes) {
            baseline += note_pitch;
            picture_.text({x, baseline}, note, "small", anchor, note_size);
        }
    }

    // The lead of a base or gate: left out of the symbol, then up or down to its node's tie.
    void draw_control(const SchematicPart& part, const schematic::Column& column, double y,
                      bool live) {
        const double x = x_of(column);
        const double left = schematic::part_width(part).left;
        const double out = column.control_x + dx_;
        wire({x - left, y}, {out, y}, *part.control_node, live);
        const double row = layout_.row.at(*part.control_node);
        if (*part.control_node == "return") {
            wire({out, y}, {out, y + h}, *part.control_node, live);
            draw_return({out, y + h});
            return;
        }
        wire({out, y}, {out, row}, *part.control_node, live);
        touched_[*part.control_node].push_back({out, live});
    }

    void draw_tie(const std::string& node, double y) {
        auto found = touched_.find(node);
        if (found == touched_.end()) return;
        auto& touches = found->second;
        std::ranges::sort(touches, {}, &Touch::x);
        const double first = touches.front().x;
        const double last = touches.back().x;
        if (node == "supply") {
            constexpr double reach = 16;
            picture_.line({{first - reach, y}, {last + reach, y}}, "rail");
        }
        for (const Touch& touch : touches) drawn_.node_spots[node].push_back({touch.x, y});
        if (first < last) wire({first, y}, {last, y}, node, false);
        draw_flow(touches, node, y);
        if (node == "supply") return;
        // Three leads or more at one point are joined by a dot.
        for (const Touch& touch : touches) {
            const bool inner = touch.x > first && touch.x < last;
            const auto here = std::ranges::count_if(
                touches, [&](const Touch& other) { return std::abs(other.x - touch.x) < 0.5; });
            if (inner || here > 1) picture_.circle({touch.x, y}, 3, "dot");
        }
    }

    // Heavier from the first to the last lead that carries current.
    void draw_flow(const std::vector<Touch>& touches, const std::string& node, double y) {
        const auto first = std::ranges::find_if(touches, &Touch::live);
        const auto last = std::find_if(touches.rbegin(), touches.rend(),
                                       [](const Touch& touch) { return touch.live; });
        if (first == touches.end() || first->x >= last->x) return;
        wire({first->x, y}, {last->x, y}, node, true);
    }

    void label_supply() {
        const auto supply = touched_.find("supply");
        if (supply == touched_.end()) return;
        const auto at_gap = [](const schematic::Column& column) { return column.text_left; };
        const bool left =
            supply->second.size() == 1 && std::ranges::any_of(layout_.columns, at_gap);
        const double x = supply->second.front().x + (left ? 16 : -16);
        picture_.text(
            {x, layout_.top - 9},
            (which_ == Side::input ? "input supply " : "output supply ") + side_.supply_note,
            "small", left ? Anchor::end : Anchor::start, note_size);
    }

    // At the tie, beside the leftmost column that ends there.
    void label_node(const SchematicNode& node) {
        const auto row = layout_.row.find(node.name);
        if (row == layout_.row.end()) return;
        const auto ends_there = [&](const schematic::Column& column) {
            const auto& strand = side_.strands[column.strand];
            return strand.from == node.name || strand.to == node.name;
        };
        const auto column = std::ranges::find_if(layout_.columns, ends_there);
        if (column == layout_.columns.end()) return;
        const Anchor anchor = column->text_left ? Anchor::end : Anchor::start;
        const double x = column->text_left ? column->text_x + dx_ : x_of(*column) + 6;
        picture_.text({x, row->second - 6},
                      node.note.empty() ? node.name : node.name + "  " + node.note, "small", anchor,
                      note_size);
        if (node.band.empty()) return;
        picture_.text({x, row->second + 15}, node.band, "small", anchor, note_size);
    }

    Picture& picture_;
    Side which_;
    const SchematicSide& side_;
    const schematic::SideLayout& layout_;
    double dx_;
    const std::vector<schematic::Light>& lights_;
    DrawnSide drawn_;
    std::map<std::string, std::vector<Touch>> touched_;  // every lead at a node
};

}  // namespace

std::vector<Point> DrawnSide::spots(const LeadSpot& lead) const {
    const auto& of = lead.after.empty() ? node_spots : part_spots;
    const auto found = of.find(lead.after.empty() ? lead.node : lead.after);
    return found == of.end() ? std::vector<Point>{} : found->second;
}

std::vector<Point> DrawnSide::every_node() const {
    std::vector<Point> all;
    for (const auto& [node, at] : node_spots) all.push_back(at.front());
    for (const auto& [part, at] : part_spots) {
        if (joints.contains(part)) all.push_back(at.front());
    }
    return all;
}

std::optional<Point> DrawnSide::in_lead(const std::string& part) const {
    if (part.empty()) {
        const auto supply = spots({.node = "supply"});
        return supply.empty() ? std::nullopt : std::optional(supply.front());
    }
    const auto found = lead_spots.find(part);
    return found == lead_spots.end() ? std::nullopt : std::optional(found->second);
}

DrawnSide draw_side(Picture& picture, Side which, const SchematicSide& side,
                    const schematic::SideLayout& layout, double dx,
                    const std::vector<schematic::Light>& lights) {
    SideDrawer drawer(picture, which, side, layout, dx, lights);
    drawer.draw();
    return std::move(drawer).drawn();
}

}  // namespace gapwright
