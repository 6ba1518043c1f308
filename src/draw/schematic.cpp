#include "draw/schematic.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <cstddef>
#include <cstdlib>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "draw/dimension_line.hpp"
#include "draw/picture.hpp"
#include "draw/schematic_layout.hpp"
#include "draw/symbols.hpp"

namespace gapwright {
namespace {

constexpr double h = symbol_half_height;
constexpr double strip_width = 46;
constexpr double strip_margin = 26;
constexpr double name_size = 13;
constexpr double note_size = 11;
constexpr double note_pitch = 14;

// Draws one side, shifted to where it belongs.
class SideDrawer {
  public:
    SideDrawer(Picture& picture, const SchematicSide& side, const layout::SideLayout& layout,
               double dx, std::string prefix)
        : picture_(picture), side_(side), layout_(layout), dx_(dx), prefix_(std::move(prefix)) {}

    void draw() {
        for (const auto& column : layout_.columns) draw_column(column);
        for (const auto& [node, y] : layout_.row) draw_tie(node, y);
        label_rails();
        for (const auto& node : side_.nodes) label_node(node);
    }

    // Heights of the gap's parts.
    const std::vector<std::pair<double, std::string>>& gap_heights() const { return gaps_; }

  private:
    double x_of(const layout::Column& column) const { return column.x + dx_; }

    void wire(Point from, Point to, const std::string& node) {
        picture_.wire({from, to}, prefix_ + node);
    }

    void draw_column(const layout::Column& column) {
        const SchematicStrand& strand = side_.strands[column.strand];
        const double x = x_of(column);
        const double direction = column.turned ? -1 : 1;
        double here = layout_.row.at(strand.from);
        std::string node = strand.from;
        touch(strand.from, x);
        for (std::size_t k = 0; k < strand.parts.size(); ++k) {
            const SchematicPart& part = strand.parts[k];
            const double y = column.y[k];
            wire({x, here}, {x, y - direction * h}, node);
            // A page lets its reader point at the part: symbol and words together.
            picture_.begin_group(part.to_choose ? "part to-choose" : "part",
                                 fmt::format("data-part=\"{}\"", xml_escaped(part.name)));
            draw_symbol(picture_, part.symbol,
                        {.centre = {x, y},
                         .turned = column.turned,
                         .closed = part.closed,
                         .base = part.control_node.has_value()},
                        prefix_ + part.name);
            label_part(part, column, y);
            picture_.end_group();
            if (part.control_node) draw_control(part, x, y);
            if (part.at_gap) gaps_.emplace_back(y, part.name);
            here = y + direction * h;
            node = fmt::format("{}#{}", column.strand, k);
        }
        if (strand.parts.empty()) node = strand.from;
        wire({x, here}, {x, layout_.row.at(strand.to)}, strand.to);
        touch(strand.to, x);
    }

    void label_part(const SchematicPart& part, const layout::Column& column, double y) {
        const double x = column.text_x + dx_;
        const double lines = static_cast<double>(part.notes.size());
        double baseline = y - lines * note_pitch / 2 + 4;
        picture_.text({x, baseline}, part.name, "name", Anchor::start, name_size);
        for (const auto& note : part.notes) {
            baseline += note_pitch;
            picture_.text({x, baseline}, note, "small", Anchor::start, note_size);
        }
    }

    // The lead of a base or gate: left out of the symbol, then up or down to its node's tie.
    void draw_control(const SchematicPart& part, double x, double y) {
        const double edge =
            x - symbol_width(part.symbol).left + (part.symbol == Symbol::phototransistor ? 15 : 0);
        const double out = x - symbol_width(part.symbol).left - 10;
        const double row = layout_.row.at(*part.control_node);
        wire({edge, y}, {out, y}, *part.control_node);
        wire({out, y}, {out, row}, *part.control_node);
        touch(*part.control_node, out);
    }

    void touch(const std::string& node, double x) { touched_[node].push_back(x); }

    void draw_tie(const std::string& node, double y) {
        auto found = touched_.find(node);
        const bool rail = node == "supply" || node == "return";
        if (found == touched_.end()) return;
        auto& xs = found->second;
        std::ranges::sort(xs);
        const double reach = rail ? 16 : 0;
        const Segment run{{xs.front() - reach, y}, {xs.back() + reach, y}};
        if (rail) {
            picture_.line(run, "rail");
        }
        if (xs.front() < xs.back()) wire({xs.front(), y}, {xs.back(), y}, node);
        if (rail) return;
        // Three leads or more at one point are joined by a dot.
        for (std::size_t k = 0; k < xs.size(); ++k) {
            const bool inner = xs[k] > xs.front() && xs[k] < xs.back();
            const auto here = std::ranges::count_if(
                xs, [&](double other) { return std::abs(other - xs[k]) < 0.5; });
            if (inner || here > 1) picture_.circle({xs[k], y}, 3, "dot");
        }
    }

    void label_rails() {
        const auto supply = touched_.find("supply");
        if (supply != touched_.end()) {
            picture_.text({std::ranges::min(supply->second) - 16, layout_.top - 9},
                          "supply " + side_.supply_note, "small", Anchor::start, note_size);
        }
        const auto ground = touched_.find("return");
        if (ground != touched_.end()) {
            picture_.text({std::ranges::min(ground->second) - 16, layout_.bottom + 17}, "return",
                          "small", Anchor::start, note_size);
        }
    }

    // At the tie, right of the leftmost column that ends there.
    void label_node(const SchematicNode& node) {
        const auto row = layout_.row.find(node.name);
        if (row == layout_.row.end()) return;
        double x = -1;
        for (const auto& column : layout_.columns) {
            const auto& strand = side_.strands[column.strand];
            if (strand.from != node.name && strand.to != node.name) continue;
            x = x_of(column);
            break;
        }
        if (x < 0) return;
        picture_.text({x + 6, row->second - 6},
                      node.note.empty() ? node.name : node.name + "  " + node.note, "small",
                      Anchor::start, note_size);
        if (!node.band.empty()) {
            picture_.text({x + 6, row->second + 14}, node.band, "small", Anchor::start, note_size);
        }
    }

    Picture& picture_;
    const SchematicSide& side_;
    const layout::SideLayout& layout_;
    double dx_;
    std::string prefix_;
    std::map<std::string, std::vector<double>> touched_;  // x of every lead at a node
    std::vector<std::pair<double, std::string>> gaps_;
};

// The gap: a hatched strip from top to bottom that no wire crosses, and light across it.
void draw_gap(Picture& picture, double left, double top, double bottom,
              const std::vector<std::pair<double, std::string>>& emitters) {
    const Box strip{left, top, left + strip_width, bottom};
    picture.rectangle(strip, "gap");
    for (double y = top; y + 12 <= bottom; y += 12) {
        picture.line({{strip.left, y + 12}, {strip.left + 10, y}}, "thin");
        picture.line({{strip.right - 10, y + 12}, {strip.right, y}}, "thin");
    }
    for (const auto& [y, name] : emitters) {
        for (const double shift : {-5.0, 6.0}) {
            const Point tip{strip.right - 11, y + shift - 6};
            picture.line({{strip.left + 11, y + shift + 3}, tip}, "ray");
            picture.path(fmt::format("M{:.1f} {:.1f}l-7 -1.5l1.8 5.4Z", tip.x, tip.y), "glow");
        }
        picture.text({left + strip_width / 2, y + 26}, name, "light", Anchor::middle, note_size);
    }
    picture.text({left + strip_width / 2, top - 9}, "gap", "light", Anchor::middle, note_size);
}

}  // namespace

Picture draw_schematic(const SchematicInput& input) {
    Picture picture(input.title, input.description);
    const auto left = layout::lay_out(input.input, true);
    const auto right = layout::lay_out(input.output, false);
    SideDrawer input_side(picture, input.input, left, 0, "input.");
    input_side.draw();
    const double strip_left = left.right + strip_margin;
    const double output_left = strip_left + strip_width + strip_margin;
    SideDrawer output_side(picture, input.output, right, output_left, "output.");
    output_side.draw();
    // One pair of rays a gap, spread where two emitters stand at one height.
    auto gaps = input_side.gap_heights();
    std::ranges::sort(gaps);
    for (std::size_t k = 1; k < gaps.size(); ++k) {
        gaps[k].first = std::max(gaps[k].first, gaps[k - 1].first + 48);
    }
    double bottom = std::max(left.bottom, right.bottom);
    if (!gaps.empty()) bottom = std::max(bottom, gaps.back().first + 40);
    draw_gap(picture, strip_left, std::min(left.top, right.top), bottom, gaps);
    if (!input.gap_measure.empty()) {
        draw_dimension(picture, strip_left, strip_left + strip_width, bottom + 12, bottom + 3,
                       input.gap_measure);
    }
    return picture;
}

}  // namespace gapwright
